//! Prints random jobs of woods with our answers, one JSON value a line, for a judge outside.
//!
//! `choose FIRST COUNT [PIECES WOODS MOST ROUNDS SEARCH_SEED]`: the jobs of COUNT seeds from FIRST on, 30 pieces, 12 woods and
//! at most 4 of them if not said. Every third job has boards on hand that do not suffice for all. Each line is
//! `{"seed", "nodes": [{"cost": […], "size"}], "kinds", "pairs": [[one, two, kind, weight]], "most", "opening", "room" (null:
//! no limit), "label", "cost", "seconds"}`.
//!
//! `choose picture FILE WIDTH_MM PIECES MOST`: the same of a picture's pattern, all of it kept and every wood of free trade
//! offered, with "looks" (L*, a*, b* of each wood under the finish), "picture" (of each node) and "meetings" (node, node, mm).

use std::collections::BTreeMap;
use std::error::Error;
use std::sync::Arc;
use std::time::Instant;

use measure::colour::Lab;
use measure::length::Um;
use measure::plane::{Circle, Point};
use measure::solve::{Effort, Few, Labelled, few};
use measure::{Dice, Watch};
use serde_json::{Value, json};
use workshop::pattern::{Meeting, Outline, Outlines};
use workshop::picture::Colours;
use workshop::work::{
    AreaId, Ask, Edit, GroundChoice, Number, Piece, PieceValues, Size, State, Stock, TraceChoices, WoodId, Work,
};
use workshop::{Derived, apply, propose, wood};

fn main() -> Result<(), Box<dyn Error>> {
    let typed: Vec<String> = std::env::args().skip(1).collect();
    if let [word, file, width, pieces, most] = typed.as_slice()
        && word == "picture"
    {
        println!("{}", of_picture(file, width.parse()?, pieces.parse()?, most.parse()?)?);
        return Ok(());
    }
    let numbers: Vec<u64> = typed.iter().map(|text| text.parse().expect("whole numbers")).collect();
    let or = |at: usize, usual: u64| numbers.get(at).copied().unwrap_or(usual);
    let size = [or(2, 30), or(3, 12), or(4, 4)];
    let effort = Effort { rounds: or(5, wood::USUAL.rounds as u64) as usize, seed: or(6, wood::USUAL.seed) };
    for seed in or(0, 0)..or(0, 0) + or(1, 1) {
        let (work, outlines, colours) = job(seed, size);
        let problem = wood::stated(&work, &outlines, &colours).expect("the jobs can be stated");
        println!("{}", answer(seed, &problem, effort));
    }
    Ok(())
}

fn of_picture(file: &str, width: f64, pieces: u32, most: u32) -> Result<Value, Box<dyn Error>> {
    let raster = workshop::picture::read(&std::fs::read(file)?)?;
    let mut work = Work { woods: wood::table(), ..Work::default() };
    let height = width * f64::from(raster.height) / f64::from(raster.width);
    work.panel = Size { width: Um::mm(width), height: Um::mm(height) };
    work.choices.stock = Stock::thick();
    work.choices.woods_most = most;
    work.choices.finish = "wax".into();
    let mut derived = Derived::with_picture(Some(Arc::new(raster)));
    let trace = TraceChoices { pieces, ground: GroundChoice::Keep, ..TraceChoices::default() };
    let proposal = propose(&work, &mut derived, &Ask::Trace(trace), Watch::silent())?;
    apply(&mut work, &Edit::Take(Box::new(proposal)))?;
    let (outlines, colours) = (derived.outlines(&work), derived.colours(&work));
    let begun = Instant::now();
    let (few, found) = wood::found(&work, &outlines, &colours)?;
    let mut told = told(0, &few, Some(found), begun.elapsed().as_secs_f64());
    let lab = |lab: Lab| json!([lab.l, lab.a, lab.b]);
    let node: BTreeMap<AreaId, usize> = work.pieces.values().enumerate().map(|(at, piece)| (piece.area, at)).collect();
    let meeting = |((one, two), meeting): (&(AreaId, AreaId), &Meeting)| {
        Some(json!([node.get(one)?, node.get(two)?, meeting.length_mm]))
    };
    told["looks"] = work.woods.values().filter(|one| free(one)).map(|one| lab(wood::look(&work, one))).collect();
    told["picture"] = work.pieces.values().map(|piece| lab(colours[&piece.area])).collect();
    told["meetings"] = outlines.meetings.iter().filter_map(meeting).collect();
    Ok(told)
}

fn free(wood: &workshop::work::Wood) -> bool {
    !wood.protected.as_ref().is_some_and(|protected| protected.value.starts_with("CITES"))
}

fn answer(seed: u64, problem: &Few, effort: Effort) -> Value {
    let begun = Instant::now();
    let found = few(problem, effort, Watch::silent());
    told(seed, problem, found, begun.elapsed().as_secs_f64())
}

fn told(seed: u64, problem: &Few, found: Option<Labelled>, seconds: f64) -> Value {
    json!({
        "seed": seed,
        "nodes": problem.nodes.iter().map(|node| json!({"cost": node.cost, "size": node.size})).collect::<Vec<_>>(),
        "kinds": problem.kinds,
        "pairs": problem.pairs.iter().map(|p| json!([p.one, p.two, p.kind, p.weight])).collect::<Vec<_>>(),
        "most": problem.most,
        "opening": problem.opening,
        "room": problem.room.iter().map(|room| room.is_finite().then_some(*room)).collect::<Vec<_>>(),
        "label": found.as_ref().map(|found| &found.label),
        "cost": found.as_ref().map(|found| found.cost),
        "seconds": seconds,
    })
}

/// Pieces in rows, each touching those beside, above and one across; colours that drift over the picture with leaps.
fn job(seed: u64, [pieces, woods, most]: [u64; 3]) -> (Work, Outlines, Colours) {
    let mut dice = Dice::new(seed);
    let across = (pieces as f64).sqrt().ceil() as u32;
    let (mut work, mut outlines, mut colours) = (Work::default(), Outlines::default(), Colours::new());
    work.woods = offered(&mut dice, woods as usize);
    work.choices.woods_most = most as u32;
    for n in 1..=pieces as u32 {
        let area = AreaId(n);
        work.pieces.insert(Number(n), Piece { area, values: PieceValues::default(), state: State::Planned });
        outlines.areas.insert(area, outline(dice.between(30.0, 1500.0)));
        colours.insert(area, colour(&mut dice, colours.get(&AreaId(n.saturating_sub(1))).copied()));
        let up = n.saturating_sub(across);
        let side = if n % across == 1 { 0 } else { n - 1 };
        for other in [side, up, up + dice.below(3) as u32].into_iter().filter(|other| (1..n).contains(other)) {
            let length_mm = dice.between(3.0, 40.0);
            outlines.meetings.insert((AreaId(other), area), Meeting { borders: Vec::new(), length_mm });
        }
    }
    if seed.is_multiple_of(3) {
        work.choices.choosing.on_hand = on_hand(&mut dice, &work, &outlines);
    }
    (work, outlines, colours)
}

fn offered(dice: &mut Dice, count: usize) -> BTreeMap<WoodId, workshop::work::Wood> {
    let mut table: Vec<_> = wood::table().into_iter().filter(|(_, wood)| free(wood)).collect();
    dice.shuffle(&mut table);
    table.truncate(count);
    table.into_iter().collect()
}

fn outline(area_mm2: f64) -> Outline {
    let widest = Circle { centre: Point::new(0, 0), radius: 2000.0 };
    Outline { rings: Vec::new(), borders: Vec::new(), area_mm2, widest }
}

fn colour(dice: &mut Dice, before: Option<Lab>) -> Lab {
    let anew = Lab::new(dice.between(5.0, 95.0), dice.between(-20.0, 40.0), dice.between(-30.0, 50.0));
    match before {
        Some(b) if dice.below(3) > 0 => Lab::new(
            (b.l + dice.between(-15.0, 15.0)).clamp(2.0, 98.0),
            b.a + dice.between(-8.0, 8.0),
            b.b + dice.between(-8.0, 8.0),
        ),
        _ => anew,
    }
}

/// Half of the woods are on hand, each enough for 5 to 40 % of the work.
fn on_hand(dice: &mut Dice, work: &Work, outlines: &Outlines) -> BTreeMap<WoodId, u32> {
    let all: f64 = outlines.areas.values().map(|outline| outline.area_mm2).sum();
    let some: Vec<&WoodId> = work.woods.keys().filter(|_| dice.below(2) == 0).collect();
    some.into_iter().map(|id| (id.clone(), (all * dice.between(0.05, 0.4) / 0.6) as u32)).collect()
}
