//! Two jobs and a shop: whatever they do in whatever order, the shop offers no wood twice and loses none.

use proptest::prelude::*;

use super::*;
use crate::pattern::sample::accepted;
use crate::stock::lay::clear;
use crate::stock::shelved::told as lets_go;
use crate::work::edit::stock::Edit as Stock;
use crate::work::{Chosen, Lie, WoodId};
use crate::{apply_all, apply_to_shop};

/// Length, width and thickness of a plank, µm.
const PLANK: (i32, i32, i32) = (300_000, 60_000, 60_000);

/// A job at its bench: its states, the last of them now, and what it told the shop.
struct Bench {
    key: &'static str,
    states: Vec<Work>,
    told: Vec<Told>,
}

/// A piece that was cut: where, and between which depths of its plank. Planks lie a metre apart in depth.
struct Cut {
    key: &'static str,
    piece: Number,
    ring: Vec<Point>,
    depth: (i32, i32),
    in_shop: bool,
}

/// What is tried.
#[derive(Clone, Copy, Debug)]
enum Does {
    Cut(u32, usize, i32),
    Uncut(u32),
    Crosscut(usize, i32),
    Resaw(usize, i32),
    Fault(usize, i32),
    Away(usize),
    Give,
    /// The shop is written, the job not.
    GiveHalf,
    Bring,
    Undo,
    Drop(usize),
}

struct World {
    benches: [Bench; 2],
    shop: Shop,
    cuts: Vec<Cut>,
    /// The depth that each board of a job, or of the shop (with no key), begins at.
    begins: Begins,
}

type Begins = BTreeMap<(&'static str, BoardId), i32>;

fn work(wood: &str) -> Work {
    let mut work = Work { woods: crate::wood::table(), ..accepted(4, 3) };
    for piece in work.pieces.values_mut() {
        piece.values.wood = Some(Chosen::act(WoodId(wood.into())));
        piece.values.thickness = Some(Chosen::act(Um(2_000)));
        piece.values.grain = None;
    }
    work
}

fn plank() -> Stock {
    let size = (Um(PLANK.0), Um(PLANK.1), Um(PLANK.2));
    Stock::PutSize { name: "plank".into(), wood: "walnut-black".into(), size }
}

impl Bench {
    fn new(key: &'static str) -> Bench {
        Bench { key, states: vec![work("walnut-black")], told: Vec::new() }
    }

    fn work(&self) -> &Work {
        self.states.last().expect("the first state stays")
    }

    fn does(&mut self, edits: &[Edit]) -> Result<(), Refusal> {
        let mut work = self.work().clone();
        apply_all(&mut work, edits)?;
        if work != *self.work() {
            self.states.push(work);
        }
        Ok(())
    }

    fn stock(&mut self, edit: Stock) {
        self.does(&[Edit::Stock(edit)]).expect("it can be");
    }

    fn undo(&mut self) {
        if self.states.len() > 1 {
            let next = self.states.pop().expect("more than one").next;
            let work = self.states.last_mut().expect("more than one");
            work.next = work.next.highest(next);
        }
    }

    /// As `job::give_back` does it.
    fn give(&mut self, shop: &mut Shop, whole: bool) -> Passed {
        let passed = give(self.work(), shop, self.key, &self.told);
        let before: Vec<Told> = passed.told.iter().filter(|one| !self.told.contains(one)).cloned().collect();
        self.told.extend(before);
        apply_to_shop(shop, &passed.shop).expect("the shop takes it");
        if whole {
            self.does(&passed.job).expect("the job takes it");
            self.told.clone_from(&passed.told);
        }
        passed
    }

    fn bring(&mut self, shop: &Shop) -> Passed {
        let passed = bring(self.work(), shop, self.key);
        self.does(&passed.job).expect("the job takes it");
        passed
    }

    fn board(&self, at: usize) -> Option<BoardId> {
        let count = self.work().boards.len();
        self.work().boards.keys().nth(at.checked_rem(count)?).copied()
    }

    fn cut(&mut self, piece: u32, board: BoardId, x: i32) -> Result<(), Refusal> {
        let (low, high) = crate::stock::lay::bounds(&self.work().boards[&board].outline);
        let at = Point::new(low.x + x, low.y.midpoint(high.y));
        let lie = Lie { board, turn: 0, at };
        let piece = Number(piece);
        self.does(&[Edit::Stock(Stock::Pin { piece, lie }), Edit::Stock(Stock::Cut([piece].into()))])
    }

    /// Whether a cut is one that the job stands by; none where that cannot be told from outside.
    fn stands_by(&self, cut: &Cut, begins: &Begins) -> Option<bool> {
        let work = self.work();
        let mut of_piece = work.boards.iter().flat_map(|(id, board)| {
            let met = meets(cut, begins.get(&(self.key, *id)).copied(), board);
            let rings = own(board).filter(|used| used.piece == cut.piece);
            rings.map(move |used| met && same_on(&board.outline, &used.ring, &cut.ring))
        });
        let cut_at_all = work.pieces[&cut.piece].state != State::Planned;
        match of_piece.next() {
            Some(first) => Some(first || of_piece.any(|same| same)),
            None if !cut_at_all => Some(false),
            None => None,
        }
    }
}

impl World {
    fn new() -> World {
        let benches = [Bench::new("a"), Bench::new("b")];
        let mut world = World { benches, shop: Shop::default(), cuts: Vec::new(), begins: BTreeMap::new() };
        for at in [0, 1] {
            world.benches[at].stock(plank());
            let bench = &world.benches[at];
            let id = bench.board(0).expect("it was put");
            world.begins.insert((bench.key, id), at as i32 * 1_000_000);
        }
        world.step(0, Does::Give);
        world.step(1, Does::Bring);
        world
    }

    fn step(&mut self, who: usize, does: Does) {
        let (key, shop) = (self.benches[who].key, &mut self.shop);
        let bench = &mut self.benches[who];
        match does {
            Does::Cut(piece, board, x) => {
                let Some(board) = bench.board(board) else { return };
                if bench.cut(piece, board, x).is_err() {
                    return;
                }
                let board_now = &bench.work().boards[&board];
                let used = board_now.used.iter().find(|used| used.piece == Number(piece)).expect("it was cut");
                let (begins, ring) = (self.begins[&(key, board)], used.ring.clone());
                let depth = (begins, begins + board_now.thickness.0);
                let cut = Cut { key, piece: Number(piece), ring, depth, in_shop: false };
                // Wood that the other has sawn is not there to be sawn again.
                let other = &self.benches[1 - who];
                let gone = |one: &Cut| {
                    let meets = one.depth.0 < cut.depth.1 && cut.depth.0 < one.depth.1;
                    one.key == other.key
                        && meets
                        && !clear(&one.ring, &cut.ring, 0)
                        && other.stands_by(one, &self.begins) != Some(false)
                };
                if self.cuts.iter().any(gone) {
                    self.benches[who].states.pop();
                } else {
                    self.cuts.push(cut);
                }
            }
            Does::Uncut(piece) => _ = bench.does(&[Edit::Stock(Stock::Uncut(Number(piece)))]),
            Does::Fault(board, x) => {
                let Some(board) = bench.board(board) else { return };
                let around = [(x, 0), (x + 30_000, 0), (x, 20_000)].map(|(x, y)| Point::new(x, y)).to_vec();
                _ = bench.does(&[Edit::Stock(Stock::Fault { board, around })]);
            }
            Does::Crosscut(board, at) => {
                let Some(board) = bench.board(board) else { return };
                self.saw(who, board, Stock::Crosscut { board, at: Um(at) });
            }
            Does::Resaw(board, parts) => {
                let Some(board) = bench.board(board) else { return };
                let to = Um(bench.work().boards[&board].thickness.0 / parts);
                self.saw(who, board, Stock::Resaw { board, to });
            }
            Does::Away(board) => {
                let Some(board) = bench.board(board) else { return };
                let may = lets_go(bench.work(), board);
                assert_eq!(bench.does(&[Edit::Stock(Stock::Away(board))]).is_ok(), may);
            }
            Does::Drop(at) => {
                let number = shop.boards.keys().nth(at.checked_rem(shop.boards.len()).unwrap_or(0)).copied();
                number.into_iter().for_each(|id| apply_to_shop(shop, &[ShopEdit::DropBoard(id)]).expect("it is there"));
            }
            Does::Undo => bench.undo(),
            Does::Bring => _ = bench.bring(shop),
            Does::GiveHalf => {
                bench.give(shop, false);
                let bench = &self.benches[who];
                let of_it = self.cuts.iter_mut().filter(|cut| cut.key == key);
                of_it.for_each(|cut| cut.in_shop &= bench.stands_by(cut, &self.begins) != Some(false));
            }
            Does::Give => {
                let passed = bench.give(shop, true);
                self.note_depths(who);
                self.told(who, &passed);
            }
        }
        self.note_depths(who);
        self.holds();
    }

    fn saw(&mut self, who: usize, board: BoardId, edit: Stock) {
        let bench = &mut self.benches[who];
        let thick = bench.work().boards[&board].thickness.0;
        if bench.does(&[Edit::Stock(edit)]).is_ok() {
            let (rest, rest_board) = bench.work().boards.last_key_value().expect("the rest is the newest");
            let begins = self.begins[&(bench.key, board)] + thick - rest_board.thickness.0;
            self.begins.insert((bench.key, *rest), begins);
        }
    }

    /// A board has one depth in the shop and in every job.
    fn note_depths(&mut self, who: usize) {
        let bench = &self.benches[who];
        let from_origin = self.shop.lines.iter().filter_map(|(number, line)| {
            let (key, id) = line.origin.as_ref()?;
            Some((*number, *self.begins.iter().find(|((k, i), _)| *k == key.as_str() && i == id)?.1))
        });
        let shelved: Vec<(BoardId, i32)> = from_origin.collect();
        shelved.into_iter().for_each(|(number, begins)| _ = self.begins.insert(("", number), begins));
        for (id, board) in &bench.work().boards {
            if let Some(number) = board.shop {
                let begins = self.begins[&("", number)];
                assert_eq!(*self.begins.entry((bench.key, *id)).or_insert(begins), begins, "board {id} is another");
            }
        }
    }

    /// After a giving: what the job stands by and holds for told is in the shop, what it took back is not.
    fn told(&mut self, who: usize, passed: &Passed) {
        let bench = &self.benches[who];
        for cut in self.cuts.iter_mut().filter(|cut| cut.key == bench.key) {
            match bench.stands_by(cut, &self.begins) {
                Some(true) => {
                    let told = |base: &Board| {
                        own(base).any(|used| used.piece == cut.piece && same_on(&base.outline, &used.ring, &cut.ring))
                    };
                    cut.in_shop |= bench.work().shelf.values().any(told);
                }
                Some(false) => cut.in_shop = false,
                None => {}
            }
        }
        if !passed.apart.is_empty() {
            return;
        }
        for (number, board) in &self.shop.boards {
            let begins = self.begins.get(&("", *number)).copied();
            for used in &board.used {
                let is_it = |cut: &&Cut| same_on(&board.outline, &cut.ring, &used.ring) && meets(cut, begins, board);
                let stands = |cut: &Cut| cut.key != bench.key || bench.stands_by(cut, &self.begins) != Some(false);
                assert!(self.cuts.iter().filter(is_it).any(stands), "a cut that was taken back stays on {number}");
            }
        }
    }

    /// No wood is offered that was cut, and there is no more wood than was put in.
    fn holds(&self) {
        for cut in self.cuts.iter().filter(|cut| cut.in_shop) {
            let bench = self.benches.iter().find(|bench| bench.key == cut.key).expect("one of two");
            if bench.stands_by(cut, &self.begins) != Some(true) {
                continue;
            }
            for (number, board) in &self.shop.boards {
                let gone = |ring: &[Point]| board.used.iter().any(|used| same(&used.ring, ring));
                if let Some(ring) = clipped(&cut.ring, &board.outline)
                    && meets(cut, self.begins.get(&("", *number)).copied(), board)
                {
                    assert!(
                        gone(&ring),
                        "piece {} of {} was cut from board {number}, which offers it",
                        cut.piece,
                        cut.key
                    );
                }
            }
        }
        let volume = |board: &Board| area2(&board.outline) as f64 / 2.0 * f64::from(board.thickness.0);
        for plank in [0, 1_000_000] {
            let of_it = self.shop.boards.iter().filter(|(number, _)| {
                self.begins.get(&("", **number)).is_some_and(|begins| (plank..plank + 500_000).contains(begins))
            });
            let all: f64 = of_it.map(|(_, board)| volume(board)).sum();
            let whole = f64::from(PLANK.0) * f64::from(PLANK.1) * f64::from(PLANK.2);
            assert!(all <= whole * 1.000_1, "{all} of {whole}");
        }
        for (number, board) in &self.shop.boards {
            let (low, high) = crate::stock::lay::bounds(&board.outline);
            let beyond = |ring: &[Point]| ring.iter().any(|p| p.x < low.x || p.x > high.x);
            assert!(board.used.iter().all(|used| !beyond(&used.ring)), "a cut beyond the edge of {number}");
            assert!(board.faults.iter().all(|fault| !beyond(fault)), "a fault beyond the edge of {number}");
        }
    }
}

/// Whether a cut went through the depths of a board; of a board of unknown depth it is not known.
fn meets(cut: &Cut, begins: Option<i32>, board: &Board) -> bool {
    begins.is_some_and(|begins| cut.depth.0 < begins + board.thickness.0 && begins < cut.depth.1)
}

/// A shop's plank that two jobs hold, the second with a knot and a zone on its right half that the shop does not know yet.
fn noted_by_b() -> (Bench, Bench, Shop) {
    let (mut a, mut b, mut shop) = (Bench::new("a"), Bench::new("b"), Shop::default());
    a.stock(plank());
    a.give(&mut shop, true);
    b.bring(&shop);
    let board = b.board(1).or(b.board(0)).expect("it was brought");
    let knot = [(200_000, 10_000), (220_000, 10_000), (210_000, 20_000)].map(|(x, y)| Point::new(x, y)).to_vec();
    let sap = [(150_000, 0), (300_000, 0), (300_000, 8_000), (150_000, 8_000)].map(|(x, y)| Point::new(x, y)).to_vec();
    b.stock(Stock::Fault { board, around: knot });
    b.stock(Stock::Zone { board, name: "sap".into(), around: sap, keep: false });
    (a, b, shop)
}

/// Whichever job comes first, what one notes reaches the wood that the other has sawn off or resawn since.
#[test]
fn what_is_noted_of_a_board_reaches_all_that_it_became() {
    for saw in
        [Stock::Crosscut { board: BoardId(1), at: Um(100_000) }, Stock::Resaw { board: BoardId(1), to: Um(20_000) }]
    {
        let (mut a, mut b, mut shop) = noted_by_b();
        a.stock(saw.clone());
        a.give(&mut shop, true);
        let apart = b.bring(&shop).apart;
        assert!(matches!(&apart[..], [one] if one.what.contains("noted on it here")), "{apart:?}");
        b.give(&mut shop, true);
        let rest = shop.boards.last_key_value().expect("two boards").1;
        assert_eq!((shop.boards.len(), rest.faults.len(), rest.zones.len()), (2, 1, 1), "{saw:?}");
        b.bring(&shop);
        let held = b.work().boards.last_key_value().expect("it is brought").1;
        assert_eq!((b.work().boards.len(), held.faults.len(), held.zones.len()), (2, 1, 1));
    }
}

/// A crosscut parts the price, and a job that had its own for the whole leaves that.
#[test]
fn a_price_of_the_whole_is_none_of_a_part() {
    let (mut a, mut b, mut shop) = (Bench::new("a"), Bench::new("b"), Shop::default());
    a.stock(plank());
    a.stock(Stock::Price { board: BoardId(1), price: Some(9000) });
    a.give(&mut shop, true);
    b.bring(&shop);
    b.stock(Stock::Price { board: BoardId(1), price: Some(5000) });
    a.stock(Stock::Crosscut { board: BoardId(1), at: Um(100_000) });
    a.give(&mut shop, true);
    b.bring(&shop);
    b.give(&mut shop, true);
    let prices: Vec<Option<u32>> = shop.boards.values().map(|board| board.price).collect();
    assert_eq!(prices, [Some(3000), Some(6000)]);
}

fn acts() -> impl Strategy<Value = Vec<(usize, Does)>> {
    let board = 0..5usize;
    let x = (1..10).prop_map(|slot| slot * 28_000);
    let does = prop_oneof![
        5 => (1..9u32, board.clone(), x.clone()).prop_map(|(piece, board, x)| Does::Cut(piece, board, x)),
        2 => (1..9u32).prop_map(Does::Uncut),
        2 => (board.clone(), x.clone()).prop_map(|(board, x)| Does::Crosscut(board, x + 7_000)),
        2 => (board.clone(), 2..4).prop_map(|(board, parts)| Does::Resaw(board, parts)),
        1 => (board.clone(), x).prop_map(|(board, x)| Does::Fault(board, x)),
        1 => board.clone().prop_map(Does::Away),
        5 => Just(Does::Give),
        1 => Just(Does::GiveHalf),
        4 => Just(Does::Bring),
        3 => Just(Does::Undo),
        1 => board.prop_map(Does::Drop),
    ];
    proptest::collection::vec((0..2usize, does), 4..26)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_wood_is_offered_twice_and_none_is_lost(acts in acts()) {
        let mut world = World::new();
        for (who, does) in acts {
            world.step(who, does);
        }
    }
}
