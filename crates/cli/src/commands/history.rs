//! `spelk undo`, `spelk redo`, `spelk history`.

use job::Job;

use crate::args::{Of, Told};
use crate::failure::{Failure, Outcome};
use crate::out::say;

pub fn undo(typed: &Of) -> Result<Outcome, Failure> {
    match Job::open(&typed.job)?.undo()? {
        Some(label) => say!("Undone: {label}."),
        None => say!("Nothing to undo."),
    }
    Ok(Outcome::Done)
}

pub fn redo(typed: &Of) -> Result<Outcome, Failure> {
    match Job::open(&typed.job)?.redo()? {
        Some(label) => say!("Redone: {label}."),
        None => say!("Nothing to redo."),
    }
    Ok(Outcome::Done)
}

pub fn list(typed: &Told) -> Result<Outcome, Failure> {
    let revisions = Job::read(&typed.job)?.history()?;
    if typed.json {
        say!("{}", serde_json::json!(revisions));
        return Ok(Outcome::Done);
    }
    for revision in revisions {
        let mark = if revision.head {
            "now"
        } else if revision.undone {
            "undone"
        } else {
            ""
        };
        say!("{:>5}  {}  {:<7} {}", revision.id, day_and_time(revision.at), mark, revision.label);
    }
    Ok(Outcome::Done)
}

/// Seconds since 1970 as a date and time in UTC, by the civil-from-days algorithm (Hinnant 2013, public domain).
fn day_and_time(seconds: i64) -> String {
    let (days, rest) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let day_of_era = z.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02} {:02}:{:02} UTC", rest / 3600, rest % 3600 / 60)
}

#[cfg(test)]
mod tests {
    use super::day_and_time;

    #[test]
    fn dates_agree_with_the_calendar() {
        assert_eq!(day_and_time(0), "1970-01-01 00:00 UTC");
        assert_eq!(day_and_time(951_827_696), "2000-02-29 12:34 UTC");
        assert_eq!(day_and_time(1_795_608_000), "2026-11-25 12:00 UTC");
    }
}
