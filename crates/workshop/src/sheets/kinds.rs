//! The kinds of pages that a pattern book can hold, and what the maker asked for.

use measure::length::Um;

use super::paper::Paper;
use crate::work::{Number, Refusal, Way};

/// A kind of page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// View, size, woods, index.
    Cover,
    /// The picture.
    Picture,
    /// The whole pattern on one page.
    Map,
    /// The pattern at true scale, tiled.
    Pattern,
    /// Which pieces are cut from which print, a page a print.
    Copies,
    /// Those prints at true scale, tiled; only when asked for, since they repeat the pattern.
    Prints,
    /// Single pieces at true scale, by wood and thickness.
    Singles,
    /// The mirrored pattern.
    Behind,
    /// Sections with heights.
    Heights,
    /// Outlines of the backer and of the alignment frame.
    Backer,
    /// Boards with what is cut from them, what to plane and to buy.
    Boards,
    /// Which blade saws which pieces, and why.
    Blades,
    /// The list of pieces.
    List,
    /// Labels for the backs; only when asked for, since they go on sheets of labels.
    Labels,
    /// Woods and cautions.
    Notes,
}

/// Kinds by the word that is typed, in the order of the book, and the head of their pages.
const KINDS: [(Kind, &str, &str); 15] = [
    (Kind::Cover, "cover", "Cover"),
    (Kind::Picture, "picture", "Picture"),
    (Kind::Map, "map", "Map"),
    (Kind::Pattern, "pattern", "Pattern at true scale"),
    (Kind::Copies, "copies", "Copies"),
    (Kind::Prints, "prints", "Prints to cut up"),
    (Kind::Singles, "singles", "Single pieces"),
    (Kind::Behind, "behind", "From behind"),
    (Kind::Heights, "heights", "Heights"),
    (Kind::Backer, "backer", "Backer and alignment frame"),
    (Kind::Boards, "boards", "Boards"),
    (Kind::Blades, "blades", "Blades"),
    (Kind::List, "list", "Pieces"),
    (Kind::Labels, "labels", "Labels for the backs"),
    (Kind::Notes, "notes", "Woods and cautions"),
];

impl Kind {
    /// The kind called `name`, in any case.
    pub fn named(name: &str) -> Result<Kind, Refusal> {
        let wanted = name.trim().to_ascii_lowercase();
        KINDS.iter().find(|(_, word, _)| *word == wanted).map(|(kind, ..)| *kind).ok_or_else(|| {
            let known: Vec<&str> = KINDS.iter().map(|(_, word, _)| *word).collect();
            let shown: String = name.trim().chars().filter(|c| !c.is_control()).take(40).collect();
            Refusal::new(format!("No kind of sheet is called “{shown}”."))
                .way(Way::advice(format!("Choose from {}.", known.join(", "))))
        })
    }

    /// The word that is typed.
    pub fn word(self) -> &'static str {
        self.row().1
    }

    /// What stands at the head of its pages.
    pub(super) fn title(self) -> &'static str {
        self.row().2
    }

    fn row(self) -> &'static (Kind, &'static str, &'static str) {
        KINDS.iter().find(|(kind, ..)| *kind == self).expect("every kind has a row")
    }
}

/// What the book is to hold.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// The paper.
    pub paper: Paper,
    /// These kinds of pages; the whole book when empty.
    pub only: Vec<Kind>,
    /// Only this part and the parts within it, by name.
    pub part: Option<String>,
    /// Only this piece: a page of its own.
    pub piece: Option<Number>,
    /// Lines of the sections: from the left and from the top, of both ends; through the middle when empty.
    pub sections: Vec<[Um; 4]>,
    /// The maker has agreed to any number of pages.
    pub many: bool,
}

impl Wanted {
    /// The whole book.
    pub fn book(paper: Paper) -> Wanted {
        Wanted { paper, only: Vec::new(), part: None, piece: None, sections: Vec::new(), many: false }
    }

    /// Whether pages of this kind are wanted.
    pub fn has(&self, kind: Kind) -> bool {
        match (self.only.is_empty(), self.piece) {
            (false, _) => self.only.contains(&kind),
            (true, Some(_)) => kind == Kind::Singles,
            (true, None) => ![Kind::Prints, Kind::Labels].contains(&kind),
        }
    }

    /// The name of the book's file: what was asked for, in plain letters that every file system takes.
    pub(super) fn file(&self) -> String {
        let mut words = vec!["pattern-book".to_owned(), self.paper.name.to_owned()];
        words.extend(self.only.iter().map(|kind| kind.word().to_owned()));
        words.extend(self.part.iter().map(|name| format!("part-{}", plain(name))));
        words.extend(self.piece.iter().map(|number| format!("piece-{number}")));
        let length = |um: &Um| format!("{}", f64::from(um.0) / 1000.0);
        words.extend(self.sections.iter().map(|line| format!("section-{}", line.each_ref().map(length).join("-"))));
        format!("{}.pdf", words.join("-"))
    }

    /// Whether pages of this kind are asked for by name.
    pub(super) fn names(&self, kind: Kind) -> bool {
        self.only.contains(&kind)
    }

    /// Whether it is the whole book, with the pattern and the cut list beside it.
    pub(super) fn whole(&self) -> bool {
        self.only.is_empty() && self.part.is_none() && self.piece.is_none() && self.sections.is_empty()
    }
}

/// Letters and figures of ASCII, anything else as a dash.
fn plain(name: &str) -> String {
    let letters = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    name.chars().take(40).map(letters).collect()
}
