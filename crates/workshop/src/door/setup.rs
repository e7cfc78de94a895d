//! Edits of the settings and of the picture.

use std::collections::BTreeMap;

use measure::length::{Um, mm_text};

use super::framing;
use crate::work::edit::{picture, setup};
use crate::work::{Changes, Frame, Mount, Reading, Refusal, Saw, Size, Stock, SubjectMarks, Way, Wood, WoodId, Work};
use crate::{relief, wood};

/// A title longer than this fits no sheet.
const TITLE_MOST: usize = 200;
/// The smallest and the largest panel side: a brooch, and a wall.
const PANEL_UM: std::ops::RangeInclusive<i32> = 20_000..=5_000_000;
/// More woods than the table holds are never wanted.
const WOODS_MOST: std::ops::RangeInclusive<u32> = 1..=60;
/// Without a setting nothing is planed; past sixty none is saved.
const SETTINGS: std::ops::RangeInclusive<u32> = 1..=60;
/// One tone tells nothing apart; past sixty nobody does.
const TONES: std::ops::RangeInclusive<u32> = 2..=60;
/// The face of a frame's moulding.
const MOULDING_UM: std::ops::RangeInclusive<i32> = 5_000..=200_000;
/// So much of the moulding's face is left outside the rabbet.
const WOOD_LEFT_UM: i32 = 3_000;
/// Rounds of marks for the subject, and the points of one: more than a hand draws.
const ROUNDS: usize = 200;
/// A wider break in a line is no slip of the pen, µm.
const BRIDGE_MOST: i32 = 20_000;
const ROUND_POINTS: usize = 20_000;
/// No raised piece stands higher than this above the backer.
const HIGHEST_UM: i32 = 200_000;

pub(super) fn apply(work: &mut Work, edit: &setup::Edit) -> Result<Changes, Refusal> {
    match edit {
        setup::Edit::Title(title) => work.choices.title = tidy_title(title)?,
        setup::Edit::Panel(size) => set_panel(work, *size)?,
        setup::Edit::Unit(unit) => work.choices.unit = *unit,
        setup::Edit::Stock(stock) => {
            sound_stock(stock)?;
            work.choices.stock = stock.clone();
            relief::follow_step(work);
        }
        setup::Edit::Step(step) => {
            work.choices.step = Some(relief::sound_step(work, *step)?);
            relief::follow_step(work);
        }
        setup::Edit::PlanerSettings(most) => {
            sound_settings(*most)?;
            work.choices.planer_settings = *most;
        }
        setup::Edit::Reading(reading) => {
            sound_reading(*reading)?;
            work.choices.reading = *reading;
        }
        setup::Edit::FrameDepth(depth) => {
            if depth.is_some_and(|depth| !(1..=HIGHEST_UM).contains(&depth.0)) {
                return Err(Refusal::new("A frame cannot be so deep.").way(Way::advice("Give up to 200 mm.")));
            }
            work.choices.frame_depth = *depth;
        }
        setup::Edit::Frame(frame) => {
            frame.iter().try_for_each(|frame| sound_frame(work, frame))?;
            work.choices.frame.clone_from(frame);
        }
        setup::Edit::Ground(ground) => {
            ground.iter().try_for_each(|wood| known_wood(&work.woods, wood))?;
            work.choices.ground.clone_from(ground);
        }
        setup::Edit::WoodsMost(most) => {
            if !WOODS_MOST.contains(most) {
                return Err(Refusal::new(format!("A work has 1 to {} woods, not {most}.", WOODS_MOST.end())));
            }
            work.choices.woods_most = *most;
        }
        setup::Edit::Tones(count) => {
            if !TONES.contains(count) {
                let what = format!("Colours are gathered into 2 to {} tones, not {count}.", TONES.end());
                return Err(
                    Refusal::new(what).way(Way::advice("About as many as the woods that you have serves well."))
                );
            }
            work.choices.tones = *count;
        }
        setup::Edit::Backer(backer) => {
            known_wood(&work.woods, backer)?;
            work.choices.backer = backer.clone();
        }
        setup::Edit::Finish(finish) => {
            known_finish(work, finish)?;
            work.choices.finish = finish.clone();
        }
        setup::Edit::Saw(saw) => {
            sound_saw(saw)?;
            work.choices.saw = saw.clone();
        }
        setup::Edit::Mount(mount) => {
            sound_mount(mount)?;
            work.choices.mount = mount.clone();
        }
        setup::Edit::PerTone { woods, least, greatest } => set_per_tone(work, *woods, (*least, *greatest))?,
        setup::Edit::OnHand { wood, mm2 } => {
            known_wood(&work.woods, wood)?;
            note(&mut work.choices.choosing.on_hand, wood, *mm2);
        }
        setup::Edit::OnlyOnHand(only) => work.choices.choosing.only_on_hand = *only,
        setup::Edit::Price { wood, per_dm2 } => {
            known_wood(&work.woods, wood)?;
            note(&mut work.choices.choosing.prices, wood, *per_dm2);
        }
        setup::Edit::FitFinish { name, raw, finished } => {
            let (finish, _) = wood::fit_finish(name, *raw, *finished)?;
            work.choices.finish.clone_from(&finish.id);
            work.choices.own_finish = Some(finish);
        }
        setup::Edit::Offer(offered) => offer(work, offered)?,
    }
    Ok(Changes { settings: true, ..Changes::default() })
}

pub(super) fn apply_picture(work: &mut Work, edit: &picture::Edit) -> Result<Changes, Refusal> {
    match edit {
        picture::Edit::Place(place) => {
            if place.width == 0 || place.height == 0 {
                return Err(Refusal::new("A picture without a pixel shows nothing.")
                    .way(Way::advice("Choose another picture.")));
            }
            if place.framing.is_some() {
                framing::sound(place)?;
            }
            work.picture = Some(place.clone());
        }
        picture::Edit::Credit { author, source, permission } => {
            let picture = work.picture.as_mut().ok_or_else(|| Refusal::new("There is no picture to credit."))?;
            picture.author.clone_from(author);
            picture.source.clone_from(source);
            picture.permission.clone_from(permission);
        }
        picture::Edit::Framing(framing) => framing::set(work, *framing)?,
        picture::Edit::Mark(round) => {
            sound_round(work, round)?;
            work.choices.trace.subject.push(round.clone());
        }
        picture::Edit::Unmark => work.choices.trace.subject.clear(),
        picture::Edit::Ground(ground) => work.choices.trace.ground = *ground,
        picture::Edit::Ink(ink) => work.choices.trace.ink = *ink,
        picture::Edit::Bridge(width) => {
            if !(0..=BRIDGE_MOST).contains(&width.0) {
                let most = mm_text(Um(BRIDGE_MOST));
                return Err(Refusal::new(format!("A break of {} cannot be bridged.", mm_text(*width)))
                    .way(Way::advice(format!("Bridge breaks of up to {most}, and draw in what is wider."))));
            }
            work.choices.trace.bridge = *width;
        }
        picture::Edit::Corners(corners) => {
            let paper = work.choices.trace.paper.as_mut().ok_or_else(|| {
                Refusal::new("This job is not traced from a drawing on paper: there is no sheet that has corners.")
                    .way(Way::advice("Frame the picture instead."))
            })?;
            corners.as_ref().map_or(Ok(()), crate::picture::go_round)?;
            paper.corners = *corners;
        }
    }
    Ok(Changes { settings: true, ..Changes::default() })
}

fn sound_round(work: &Work, round: &SubjectMarks) -> Result<(), Refusal> {
    if work.picture.is_none() {
        return Err(Refusal::new("There is no picture to mark: this pattern is an own drawing."));
    }
    let strokes = || round.keep.iter().chain(&round.drop);
    let (panel, slack) = (work.panel, 1_000);
    let near = |at: i32, side: Um| (-slack..=side.0 + slack).contains(&at);
    if strokes().next().is_none() || strokes().any(|stroke| stroke.is_empty()) {
        return Err(Refusal::new("A mark without a point says nothing.").way(Way::advice("Draw over the picture.")));
    }
    if strokes().flatten().any(|point| !near(point.x, panel.width) || !near(point.y, panel.height)) {
        let size = format!("{} by {}", mm_text(panel.width), mm_text(panel.height));
        return Err(Refusal::new(format!("A mark lies beside the picture, which is {size}."))
            .way(Way::advice("Draw over the picture; lengths begin at its top left corner.")));
    }
    if strokes().map(Vec::len).sum::<usize>() > ROUND_POINTS || work.choices.trace.subject.len() >= ROUNDS {
        let what = format!("The picture takes {ROUNDS} rounds of marks of {ROUND_POINTS} points.");
        return Err(Refusal::new(what).way(Way::advice("Take the marks away and say it in fewer strokes.")));
    }
    Ok(())
}

fn tidy_title(title: &str) -> Result<String, Refusal> {
    let tidy: String = title.chars().filter(|c| !c.is_control()).collect();
    let tidy = tidy.trim();
    if tidy.chars().count() > TITLE_MOST {
        return Err(
            Refusal::new(format!("The title is longer than {TITLE_MOST} letters.")).way(Way::advice("Shorten it."))
        );
    }
    Ok(tidy.into())
}

pub(super) fn set_panel(work: &mut Work, size: Size) -> Result<(), Refusal> {
    if !work.pattern.areas.is_empty() {
        return Err(Refusal::new("The panel cannot change under a pattern.")
            .way(Way::advice("Start a new job at the other size.")));
    }
    for (name, side) in [("width", size.width), ("height", size.height)] {
        if !PANEL_UM.contains(&side.0) {
            let (least, most) = (mm_text(Um(*PANEL_UM.start())), mm_text(Um(*PANEL_UM.end())));
            let what = format!("The {name} of the panel would be {}; it can be {least} to {most}.", mm_text(side));
            return Err(Refusal::new(what).way(Way::advice("Give another width, or crop the picture.")));
        }
    }
    work.panel = size;
    Ok(())
}

fn sound_stock(stock: &Stock) -> Result<(), Refusal> {
    let rising = |lengths: &[Um]| lengths.windows(2).all(|pair| pair[0] < pair[1]);
    let within = |length: Um| (1..=HIGHEST_UM).contains(&length.0);
    let (wrong, way) = if stock.thicknesses.is_empty()
        || !rising(&stock.thicknesses)
        || !stock.thicknesses.iter().copied().all(within)
    {
        ("its thicknesses do not rise from above 0 to 200 mm", "Give at least one, each thicker than the one before.")
    } else if stock.raisers.first() != Some(&Um(0)) || !rising(&stock.raisers) {
        ("its raisers do not rise from 0", "Begin with 0, for none; then each is higher than the one before.")
    } else if !within(stock.least_width) || !within(stock.readable_step) {
        ("its least width or its readable step is not above 0 and at most 200 mm", "Give a length between.")
    } else if stock.least_area_mm2 > 100_000 {
        ("its least area is larger than 100 000 mm²", "Give a smaller one; it is counted in mm².")
    } else if stock.lowest.0 < 0 || stock.lowest > stock.highest || stock.highest.0 > HIGHEST_UM {
        (
            "its heights do not run from a lowest to a highest between 0 and 200 mm",
            "Give the lowest first, then the highest, as in 12mm,40mm.",
        )
    } else {
        return Ok(());
    };
    Err(Refusal::new(format!("This stock cannot be: {wrong}.")).way(Way::advice(way)))
}

fn sound_settings(most: Option<u32>) -> Result<(), Refusal> {
    if most.is_none_or(|most| SETTINGS.contains(&most)) {
        return Ok(());
    }
    Err(Refusal::new(format!("At most 1 to {} planer settings can be wished for.", SETTINGS.end()))
        .way(Way::advice("Three or four save much; or wish for none.")))
}

/// From nearer nobody sees the whole, from farther nobody a step.
const DISTANCE_UM: std::ops::RangeInclusive<i32> = 200_000..=50_000_000;
/// Light along the wall throws shade without end, straight before it none.
const LIGHT_HEIGHT: std::ops::RangeInclusive<u16> = 5..=85;

fn sound_reading(reading: Option<Reading>) -> Result<(), Refusal> {
    let sound = |reading: Reading| {
        DISTANCE_UM.contains(&reading.distance.0) && reading.from < 360 && LIGHT_HEIGHT.contains(&reading.height)
    };
    if reading.is_none_or(sound) {
        return Ok(());
    }
    Err(Refusal::new("The work cannot be looked at so.").way(Way::advice(
        "Give 0.2 to 50 m, and side light from 0° to 359° clockwise from above, 5° to 85° above the wall.",
    )))
}

/// Allowances beyond this are slips of the unit, µm.
const ALLOWANCE_MOST: i32 = 20_000;

fn sound_mount(mount: &Mount) -> Result<(), Refusal> {
    let allowances = [mount.beyond, mount.behind, mount.clearance];
    let sound =
        allowances.iter().all(|um| (0..=ALLOWANCE_MOST).contains(&um.0)) && (5000..=200_000).contains(&mount.frame.0);
    if sound {
        return Ok(());
    }
    Err(Refusal::new("These allowances of the backer cannot be.")
        .way(Way::advice("Give 0 to 20 mm beyond, behind and of play, and a frame of 5 to 200 mm.")))
}

/// The lip lies on part of the moulding's face, and leaves an opening.
fn sound_frame(work: &Work, frame: &Frame) -> Result<(), Refusal> {
    known_wood(&work.woods, &frame.wood)?;
    let panel = work.panel.width.min(work.panel.height);
    let most = Um((frame.width.0 - WOOD_LEFT_UM).min(panel.0 / 4));
    if !MOULDING_UM.contains(&frame.width.0) {
        return Err(Refusal::new(format!("A frame's face cannot be {} wide.", mm_text(frame.width)))
            .way(Way::advice("Give 5 to 200 mm.")));
    }
    if (0..=most.0).contains(&frame.lip.0) {
        return Ok(());
    }
    Err(Refusal::new(format!("A lip of {} does not go with this frame.", mm_text(frame.lip)))
        .way(Way::advice(format!("Give 0 to {}; 6 mm (1/4 in) is usual.", mm_text(most)))))
}

/// A blade wider or thicker than this is none of a scroll saw.
const BLADE_UM: std::ops::RangeInclusive<i32> = 50..=6000;
/// More than two hours at one start or hole is a slip of the unit.
const SECONDS_MOST: u32 = 7200;
/// Minutes that a blade lasts.
const LIFE: std::ops::RangeInclusive<u32> = 1..=10_000;
/// From a sanding stick in a chuck to a drum sander.
const DRUM_UM: std::ops::RangeInclusive<i32> = 2000..=300_000;
/// Less spare wood than this cannot be traced on; more is waste.
const SPARE_UM: std::ops::RangeInclusive<i32> = 200..=10_000;
/// More kinds of blade than any rack holds.
const BLADES_MOST: usize = 16;

fn sound_saw(saw: &Saw) -> Result<(), Refusal> {
    let refuse = |what: String, way: &str| Err(Refusal::new(what).way(Way::advice(way)));
    if !(50_000..=3_000_000).contains(&saw.throat.0) || !(3000..=HIGHEST_UM).contains(&saw.thickest.0) {
        let what = format!(
            "A saw with {} behind the blade that takes {} cannot be.",
            mm_text(saw.throat),
            mm_text(saw.thickest)
        );
        return refuse(what, "Give a throat of 50 mm to 3 m and a thickest stock of 3 to 200 mm.");
    }
    if !saw.rates.is_empty() && (saw.rates.len() != 4 || !saw.rates.iter().all(|rate| (1..=5000).contains(rate))) {
        let what = format!("Rates of {:?} mm a minute cannot be.", saw.rates);
        return refuse(what, "Give four, of 1 to 5000 mm a minute, from the softest woods to the hardest, or none.");
    }
    let times = [saw.times.start, saw.times.hole, saw.times.handle, saw.times.fit, saw.times.glue];
    if times.iter().any(|seconds| *seconds > SECONDS_MOST) || !saw.blade_life.iter().all(|m| LIFE.contains(m)) {
        let what = format!("Times of {times:?} seconds and blades of {:?} minutes cannot be.", saw.blade_life);
        return refuse(what, "Give up to 7200 seconds for each, and blades that last 1 to 10 000 minutes.");
    }
    if !DRUM_UM.contains(&saw.drum.0) {
        let what = format!("A drum of {} cannot be.", mm_text(saw.drum));
        return refuse(what, "Give 2 to 300 mm across, the smallest that you have.");
    }
    if !SPARE_UM.contains(&saw.spare.0) {
        let what = format!("Spare wood of {} at a joint cannot be.", mm_text(saw.spare));
        return refuse(what, "Give 0.2 to 10 mm: enough to trace the finished edge on.");
    }
    if saw.blades.len() > BLADES_MOST {
        return refuse(format!("{} blades are listed.", saw.blades.len()), "List 16 at the most, those that you use.");
    }
    for (at, blade) in saw.blades.iter().enumerate() {
        let sizes = BLADE_UM.contains(&blade.width.0) && BLADE_UM.contains(&blade.thickness.0);
        if blade.number.trim().is_empty()
            || !sizes
            || blade.from.0 < 0
            || blade.from > blade.to
            || blade.to.0 > HIGHEST_UM
        {
            let what = format!("Blade {} of the list cannot be.", at + 1);
            return refuse(
                what,
                "Give it a number, a width and thickness of 0.05 to 6 mm, and the stock that it suits from thin to thick.",
            );
        }
    }
    let names: std::collections::BTreeSet<&str> = saw.blades.iter().map(|blade| blade.number.trim()).collect();
    if names.len() < saw.blades.len() {
        let way = "Give each a number of its own, as in 5 and 5 reverse, so that the sheets can tell them apart.";
        return refuse("Two blades have one number.".into(), way);
    }
    if !saw.blades.windows(2).all(|two| two[0].width <= two[1].width) {
        return refuse("The blades are not in order.".into(), "List the finest first, by width.");
    }
    Ok(())
}

fn known_wood(woods: &BTreeMap<WoodId, Wood>, id: &WoodId) -> Result<(), Refusal> {
    if woods.contains_key(id) {
        return Ok(());
    }
    let near = wood::near(&id.0, woods);
    let advice = if near.is_empty() {
        format!("Choose one of the job's {} woods, by its key as in walnut-black.", woods.len())
    } else {
        format!("Choose {}.", near.iter().map(|id| id.0.as_str()).collect::<Vec<_>>().join(" or "))
    };
    Err(Refusal::new(format!("\"{id}\" is no wood of this job.")).way(Way::advice(advice)))
}

fn set_per_tone(work: &mut Work, woods: u32, (least, greatest): (u32, u32)) -> Result<(), Refusal> {
    if woods > 3 || least > greatest {
        return Err(Refusal::new(
            "A tone has one to three woods, or 0 for no rule, and the least difference between them \
            is not above the greatest.",
        )
        .way(Way::advice("As a start take two woods that differ by ΔE 3 to 15.")));
    }
    let choosing = &mut work.choices.choosing;
    (choosing.per_tone, choosing.least, choosing.greatest) = (woods, least, greatest);
    Ok(())
}

fn note(of: &mut BTreeMap<WoodId, u32>, wood: &WoodId, figure: Option<u32>) {
    match figure {
        Some(figure) => of.insert(wood.clone(), figure),
        None => of.remove(wood),
    };
}

fn known_finish(work: &Work, finish: &str) -> Result<(), Refusal> {
    let finishes = wood::finishes();
    let own = work.choices.own_finish.as_ref().is_some_and(|own| own.id == finish);
    if own || finishes.contains_key(finish) {
        return Ok(());
    }
    let refusal = Refusal::new(format!("No finish is called \"{finish}\"."));
    Err(refusal
        .way(Way::advice(format!("Choose one of: {}.", finishes.keys().cloned().collect::<Vec<_>>().join(", ")))))
}

/// A wood that is offered keeps its key; its code must be its own.
fn offer(work: &mut Work, offered: &Wood) -> Result<(), Refusal> {
    if offered.id.0.trim().is_empty() || offered.name.trim().is_empty() || offered.code.trim().is_empty() {
        return Err(Refusal::new("A wood needs a key, a name and a code."));
    }
    if let Some(other) = work.woods.values().find(|other| other.code == offered.code && other.id != offered.id) {
        let what = format!("The code {} is {}'s already.", offered.code, other.name);
        return Err(Refusal::new(what).way(Way::advice("Give it another code.")));
    }
    work.woods.insert(offered.id.clone(), offered.clone());
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::apply as through_the_door;
    use crate::work::{Edit, Unit};

    fn refused(work: &mut Work, edit: setup::Edit) -> String {
        let before = work.clone();
        let refusal = through_the_door(work, &Edit::Setup(edit)).expect_err("it cannot be");
        assert_eq!(*work, before, "a refusal leaves the job as it was");
        refusal.what
    }

    #[test]
    fn settings_are_taken() {
        let mut work = Work { woods: wood::table(), ..Work::default() };
        for edit in [
            setup::Edit::Title(" Heron\u{7} at dusk ".into()),
            setup::Edit::Panel(Size { width: Um(420_000), height: Um(300_000) }),
            setup::Edit::Unit(Unit::Inch),
            setup::Edit::Stock(Stock::thin()),
            setup::Edit::WoodsMost(5),
        ] {
            let changes = through_the_door(&mut work, &Edit::Setup(edit)).expect("it can be");
            assert!(changes.settings);
        }
        assert_eq!(work.choices.title, "Heron at dusk");
        assert_eq!((work.panel.width, work.choices.woods_most), (Um(420_000), 5));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let mut work = Work { woods: wood::table(), ..Work::default() };
        assert!(refused(&mut work, setup::Edit::Title("x".repeat(201))).contains("longer"));
        assert!(refused(&mut work, setup::Edit::WoodsMost(0)).contains("1 to 60"));
        assert!(refused(&mut work, setup::Edit::PlanerSettings(Some(0))).contains("1 to 60"));
        let reading = Reading { distance: Um(2_000_000), from: 315, height: 35 };
        for wrong in [
            Reading { distance: Um(20), ..reading },
            Reading { from: 360, ..reading },
            Reading { height: 0, ..reading },
            Reading { height: 90, ..reading },
        ] {
            assert!(refused(&mut work, setup::Edit::Reading(Some(wrong))).contains("looked at"));
        }
        assert!(refused(&mut work, setup::Edit::FrameDepth(Some(Um(0)))).contains("deep"));
        let frame = Frame { wood: WoodId("walnut-black".into()), width: Um(20_000), lip: Um(6_000) };
        for (wrong, says) in [
            (Frame { wood: WoodId("unobtainium".into()), ..frame.clone() }, "unobtainium"),
            (Frame { width: Um(4_000), ..frame.clone() }, "4 mm wide"),
            (Frame { lip: Um(17_500), ..frame.clone() }, "17.5 mm"),
            (Frame { lip: Um(-1), ..frame }, "lip"),
        ] {
            assert!(refused(&mut work, setup::Edit::Frame(Some(wrong))).contains(says));
        }
        assert!(refused(&mut work, setup::Edit::Ground(Some(WoodId("unobtainium".into())))).contains("unobtainium"));
        assert!(refused(&mut work, setup::Edit::Panel(Size { width: Um(1), height: Um(1) })).contains("width"));
        assert!(refused(&mut work, setup::Edit::Finish("ketchup".into())).contains("ketchup"));
        assert!(refused(&mut work, setup::Edit::Backer(WoodId("unobtainium".into()))).contains("unobtainium"));
        for spoil in [
            |stock: &mut Stock| stock.thicknesses.clear(),
            |stock: &mut Stock| stock.thicknesses.reverse(),
            |stock: &mut Stock| stock.raisers = vec![Um(1000)],
            |stock: &mut Stock| stock.least_width = Um(-4000),
            |stock: &mut Stock| stock.highest = Um(0),
        ] {
            let mut stock = Stock::thick();
            spoil(&mut stock);
            assert!(refused(&mut work, setup::Edit::Stock(stock)).contains("cannot be"));
        }
    }
}
