//! `spelk stock`: the boards, what lies on them, what to plane and what to buy.

use job::{Job, Problem, ShopFile};
use serde_json::{Value, json};
use workshop::Derived;
use workshop::stock::{Missing, Passed, Planed, crosscuts, milling};
use workshop::work::{Ask, BoardId, Edit, Finding, Number, Work};

use crate::args::Stock;
use crate::commands::{derive, read};
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::progress::watched;
use crate::words::{face, say_findings, show};

pub fn run(typed: &Stock) -> Result<Outcome, Failure> {
    if typed.lay_out || typed.from_shop || typed.to_shop {
        let mut job = Job::open(&typed.job)?;
        let mut derived = derive(&job)?;
        let passed = change(typed, &mut job, &mut derived)?;
        told(typed, job.work(), &mut derived, &passed);
    } else {
        let (job, mut derived) = read(&typed.job)?;
        told(typed, job.work(), &mut derived, &[]);
    }
    Ok(Outcome::Done)
}

/// Does what is asked; what went between the job and the shop.
fn change(typed: &Stock, job: &mut Job, derived: &mut Derived) -> Result<Vec<Passed>, Failure> {
    let shop_path = || typed.shop.clone().map_or_else(ShopFile::usual_path, Ok);
    let mut all = Vec::new();
    if typed.from_shop {
        match ShopFile::read(shop_path()?) {
            Err(Problem::Missing { path }) if !typed.json => {
                say!("There is no shop yet: no file {}. --to-shop makes it of the job's boards.", path.display());
            }
            Err(Problem::Missing { .. }) => {}
            read => {
                let passed = job::bring(job, &read?)?;
                if !typed.json {
                    say!("Brought from the shop: {}.", boards(&passed, !passed.job.is_empty()));
                    say_passed(&passed);
                }
                all.push(passed);
            }
        }
    }
    if typed.lay_out {
        let ask = Ask::LayOut { effort: typed.effort };
        let proposal = watched(|watch| workshop::propose(job.work(), derived, &ask, watch))?;
        if let Some(told) = workshop::stock::outcome(job.work(), &proposal).filter(|_| !typed.json) {
            say!("{told}");
        }
        job.apply(&[Edit::Take(Box::new(proposal))], "lay out the boards")?;
    }
    if typed.to_shop {
        let passed = job::give_back(job, &mut ShopFile::open(shop_path()?)?)?;
        if !typed.json {
            say!("Given to the shop: {}.", boards(&passed, !passed.shop.is_empty()));
            say_passed(&passed);
        }
        all.push(passed);
    }
    Ok(all)
}

/// What was passed, in words.
fn boards(passed: &Passed, changed: bool) -> String {
    match (passed.new, changed) {
        (0, false) => "nothing is new".into(),
        (0, true) => "what is new of boards known already".into(),
        (1, _) => "one board".into(),
        (count, _) => format!("{count} boards"),
    }
}

/// Tells of which boards the shop knew more than the job, and which are not passed.
fn say_passed(passed: &Passed) {
    for name in &passed.known {
        say!(
            "Board \"{name}\": the shop knew of cuts, faults or a shorter edge that the job did not; they hold here now."
        );
    }
    for refusal in &passed.apart {
        let ways: Vec<&str> = refusal.ways.iter().map(|way| way.says.as_str()).collect();
        say!("Not passed: {} {}", refusal.what, ways.join(" "));
    }
}

fn findings(work: &Work, derived: &mut Derived) -> Vec<Finding> {
    let outlines = derived.outlines(work);
    workshop::stock::findings(work, &outlines)
}

fn told(typed: &Stock, work: &Work, derived: &mut Derived, passed: &[Passed]) {
    if typed.json {
        let told = workshop::tell(work, derived);
        let fields = ["laying", "boards", "layout", "missing", "crosscuts", "planing"];
        let mut json: serde_json::Map<String, Value> =
            fields.iter().map(|field| ((*field).to_owned(), told[*field].clone())).collect();
        json.insert("findings".into(), json!(findings(work, derived)));
        json.insert("known".into(), json!(passed.iter().flat_map(|one| &one.known).collect::<Vec<_>>()));
        json.insert("not_passed".into(), json!(passed.iter().flat_map(|one| &one.apart).collect::<Vec<_>>()));
        say!("{}", Value::Object(json));
        return;
    }
    say_boards(work);
    say_planing(work);
    say_missing(work, &derived.missing(work));
    say_findings(&findings(work, derived));
}

fn say_boards(work: &Work) {
    let unit = work.choices.unit;
    if work.boards.is_empty() {
        say!("No board is on the job's rack. Put one there with spelk edit, or bring the shop's with --from-shop.");
    }
    for (id, board) in &work.boards {
        let here: Vec<String> = (work.layout.iter())
            .filter(|(number, chosen)| {
                chosen.value.board == *id && board.used.iter().all(|used| used.piece != **number)
            })
            .map(|(number, _)| number.to_string())
            .collect();
        let xs = || board.outline.iter().map(|p| p.x);
        let ys = || board.outline.iter().map(|p| p.y);
        let span = |low: Option<i32>, high: Option<i32>| {
            let length = high.unwrap_or_default() - low.unwrap_or_default();
            show(measure::length::Um(length), unit)
        };
        say!(
            "{id}. {}: {}, {} × {} × {}{}",
            board.name,
            work.woods.get(&board.wood).map_or(board.wood.0.as_str(), |wood| wood.name.as_str()),
            span(xs().min(), xs().max()),
            span(ys().min(), ys().max()),
            show(board.thickness, unit),
            if board.used.is_empty() { String::new() } else { format!(", {} cut out of it", board.used.len()) }
        );
        if !here.is_empty() {
            say!("   carries {}", here.join(", "));
        }
    }
}

fn say_planing(work: &Work) {
    let unit = work.choices.unit;
    let name = |id: &BoardId| format!("{id}. {}", work.boards[id].name);
    let crosscuts = crosscuts(work);
    for (id, cuts) in &crosscuts {
        let cuts: Vec<String> = cuts.iter().map(|at| show(*at, unit)).collect();
        say!("Crosscut {} at {} from its left end", name(id), cuts.join(", "));
    }
    if !crosscuts.is_empty() {
        say!("  Plane such a board whole to its thickest part, saw that off, and go on with the rest.");
    }
    for setting in milling(work) {
        let board = |one: &Planed| {
            let part = one.part.map_or(String::new(), |(from, to)| {
                format!(", the part from {} to {}", show(from, unit), show(to, unit))
            });
            let resaw = if one.resaw { " (or resaw it first and have two: edit, stock, resaw)" } else { "" };
            let short = if one.short { " (short: see your planer's manual)" } else { "" };
            format!("{}{part}, from {}{resaw}{short}", name(&one.board), show(one.from, unit))
        };
        let boards: Vec<String> = setting.boards.iter().map(board).collect();
        say!("Plane to {}: {}", show(setting.to, unit), boards.join("; "));
    }
}

fn say_missing(work: &Work, missing: &[Missing]) {
    let unit = work.choices.unit;
    if missing.is_empty() {
        return;
    }
    say!("To buy, with {} % above the need:", work.choices.laying.allowance);
    for one in missing {
        let (count, length, width) = one.boards;
        let rough = one.rough.as_ref().map_or("to be glued up", |(_, name)| name.as_str());
        let feet = one.board_feet.map_or(String::new(), |feet| format!(", {feet:.1} board feet"));
        let price = one.price.map_or(String::new(), |price| format!(", about {:.2}", price as f64 / 100.0));
        say!(
            "  {}, {} finished ({rough}): {count} × {} by {}{feet}{price}; {} for pieces {}",
            work.woods.get(&one.wood).map_or(one.wood.0.as_str(), |wood| wood.name.as_str()),
            show(one.thickness, unit),
            show(length, unit),
            show(width, unit),
            face(one.buy_mm2, unit),
            numbers(&one.pieces)
        );
    }
}

fn numbers(pieces: &[Number]) -> String {
    pieces.iter().map(Number::to_string).collect::<Vec<_>>().join(", ")
}
