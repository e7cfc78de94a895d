//! What can be typed.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};
use measure::length::Um;
use workshop::work::Choices;

/// From a picture to a framed relief of sawn wood: plan it, try it, take it to the bench.
#[derive(Debug, Parser)]
#[command(name = "spelk", version, about, propagate_version = true, arg_required_else_help = true)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Use at most this many processor cores (the result is the same with any number)
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Read a picture and plan everything: pieces, woods, heights
    Start(Box<Start>),
    /// Plan in the browser: everything on pages, served to this machine alone
    Studio(Studio),
    /// Say what a job is: size, pieces, parts, woods, heights, findings
    Tell(Told),
    /// Say what will not work, gravest first, with mends; exit code 1 when something is grave
    Check(Told),
    /// Choose woods, or offer them for a piece or a part; without either, backers and what to test on offcuts
    Woods(Woods),
    /// Say how the pieces are sawn: blades, bends, holes, minutes
    Saw(Saw),
    /// Say which board each piece is cut from, what to plane and what to buy; lay the boards out
    Stock(Stock),
    /// Apply a list of edits, all or none
    #[command(term_width = 0, after_long_help = crate::commands::edit::examples())]
    Edit(Edit),
    /// Draw the pattern again from its picture, with more or fewer pieces in all or in places, or from its
    /// drawing on paper, with other breaks bridged or other corners
    Trace(Trace),
    /// Choose by marks what of the picture becomes wood
    Subject(Subject),
    /// Work out heights, or mend them after a change, and say what moved
    Heights(Heights),
    /// Take the last change back
    Undo(Of),
    /// Bring back what was undone
    Redo(Of),
    /// List every change of a job
    History(Told),
    /// Write the pattern book (PDF), the pattern (SVG) and the cut list (CSV)
    Sheets(Sheets),
    /// Write the lit relief in its woods as a picture
    View(View),
    /// Put a board on the rack by a photograph of it beside white paper or a grey card
    Board(Board),
    /// Measure finished test pieces by a photograph beside a grey card: their colours replace the table's in this job
    Test(Test),
    /// See or change what outlives a job: your own woods
    Shop(Shop),
    /// Plan our own demo picture whole and write everything into a folder
    Demo(Demo),
}

/// `spelk start`.
#[derive(Debug, ClapArgs)]
pub struct Start {
    /// The picture: PNG, JPEG, WebP, TIFF, GIF or BMP; or your own line drawing as SVG, which becomes the pattern as it
    /// is: its page is the panel, its lines are the saw lines, and an outline narrower than 1.5 mm is a stroke of the pen, sawn
    /// along its middle
    pub picture: PathBuf,
    /// The job file to write; it must not exist yet
    #[arg(long, value_name = "JOB.spelk")]
    pub out: PathBuf,
    /// Width of the finished work: 420mm, 42cm, '16 1/2in' (an SVG needs it only where it says no size of its own)
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, value_parser = no_flag)]
    pub width: Option<String>,
    /// About how many pieces (1 to 2000)
    #[arg(long, default_value_t = 180, value_name = "N")]
    pub pieces: u32,
    /// At most this many woods (1 to 60)
    #[arg(long, default_value_t = 9, value_name = "N")]
    pub woods: u32,
    /// What the pieces are sawn from: thin (plates of 1.5 to 6 mm), thick (12 to 45 mm), or your own thicknesses, as
    /// in 3mm,6mm,1/4in
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, default_value = "thick", value_name = "thin|thick|LIST")]
    pub stock: String,
    /// Wood of the backer's face
    #[arg(long, default_value_t = Choices::default().backer.0, value_name = "WOOD")]
    pub backer: String,
    /// Make everything pieces: no plain or transparent ground is dropped
    #[arg(long)]
    pub keep_all: bool,
    /// A second picture of the same shape: only what is white (or not transparent) in it becomes wood
    #[arg(long, value_name = "PICTURE")]
    pub mask: Option<PathBuf>,
    /// Crop the picture: left and upper edge, width and height, percent of the picture's, as in 10,5,80,60
    #[arg(long, value_name = "X,Y,W,H", allow_hyphen_values = true, value_parser = no_flag, conflicts_with = "on_paper")]
    pub crop: Option<String>,
    /// Turn the picture by degrees, clockwise: 90 for one that lies on its left side, -1.5 to level a horizon that falls to the right. A
    /// crop is of the picture as it lies then; without one as much of it is kept as lies upright in it
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true, conflicts_with = "on_paper")]
    pub turn: Option<f64>,
    /// The picture is your own line drawing on paper, scanned or photographed: the areas that its lines close become the pattern
    #[arg(long)]
    pub on_paper: bool,
    /// Corners of the sheet, or of the frame drawn on it, clockwise from the top left, percent of the picture's width and height, as in
    /// "8,6 93,7 95,92 6,94"; --width is between the first two
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "PLACES", requires = "on_paper")]
    pub corners: Option<String>,
    /// Height of the sheet between its corners, where the photograph does not tell it
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LENGTH", requires = "on_paper")]
    pub sheet_height: Option<String>,
    /// Ink, dark drawn lines: leave it a colour as any other; close it, so that pieces meet at the middle of each line; keep it
    /// open, as gaps of its own width of 0.3 to 3 mm, or as shadow where it is wider; or let it alone part the picture, so that each area that lines close is one piece whatever its colours
    #[arg(long, default_value = "leave", value_name = "leave|close|open|alone", value_parser = ["leave", "close", "open", "alone"])]
    pub ink: String,
    /// Bridge breaks in ink up to this wide, between ends that face each other or from an end to the line that it runs on to, as in 2mm;
    /// the latter up to the pen's width in any case
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LENGTH")]
    pub bridge: Option<String>,
    /// Show lengths in inches or millimetres (default: as the width was given)
    #[arg(long, value_name = "mm|in", value_parser = ["mm", "in"])]
    pub unit: Option<String>,
    /// The work's title (default: the picture's name)
    #[arg(long)]
    pub title: Option<String>,
    /// Who made the picture
    #[arg(long, default_value = "")]
    pub author: String,
    /// Where the picture is from
    #[arg(long, default_value = "")]
    pub source: String,
    /// By what permission it is used
    #[arg(long, default_value = "")]
    pub permission: String,
    /// The least width of a piece, instead of the stock's
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, value_parser = no_flag)]
    pub least_width: Option<String>,
    /// The least area of a piece in mm², instead of the stock's
    #[arg(long, value_name = "MM2")]
    pub least_area: Option<u32>,
    /// The least step between touching pieces that reads as one, instead of the stock's
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LENGTH")]
    pub readable_step: Option<String>,
    /// The raisers that you have, instead of the stock's, as in 0mm,3mm,6mm
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LIST")]
    pub raisers: Option<String>,
    /// The lowest and the highest top above the backer, as in 12mm,40mm
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LOWEST,HIGHEST")]
    pub heights: Option<String>,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk studio`.
#[derive(Debug, ClapArgs)]
pub struct Studio {
    /// The job file; without one the pages offer the last jobs, the demo, or a new picture
    pub job: Option<PathBuf>,
    /// Where new jobs are put (default: the folder that spelk is run in)
    #[arg(long, value_name = "DIR")]
    pub folder: Option<PathBuf>,
    /// The port (default: the one of the last time, else any free one)
    #[arg(long, default_value_t = 0, value_name = "PORT", hide_default_value = true)]
    pub port: u16,
    /// Print the address and open no browser
    #[arg(long)]
    pub no_browser: bool,
}

/// A job, told in words or as JSON.
#[derive(Debug, ClapArgs)]
pub struct Told {
    /// The job file
    pub job: PathBuf,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// A job.
#[derive(Debug, ClapArgs)]
pub struct Of {
    /// The job file
    pub job: PathBuf,
}

/// `spelk saw`.
#[derive(Debug, ClapArgs)]
pub struct Saw {
    /// The job file
    pub job: PathBuf,
    /// Saw a piece with spare wood and cut it to the finished edge of a neighbour, as in 5:4
    #[arg(long, value_name = "PIECE:TO", value_parser = two)]
    pub cut_to: Vec<(u32, u32)>,
    /// Let a finished piece into an opening of the piece around it, as in 7:4
    #[arg(long, value_name = "PIECE:INTO", value_parser = two)]
    pub let_in: Vec<(u32, u32)>,
    /// Saw two neighbours on their shared line again, as in 5:4
    #[arg(long, value_name = "PIECE:WITH", value_parser = two)]
    pub on_line: Vec<(u32, u32)>,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// Two numbers of pieces, as in 5:4.
fn two(typed: &str) -> Result<(u32, u32), String> {
    let parted = typed.split_once(':').and_then(|(a, b)| Some((a.trim().parse().ok()?, b.trim().parse().ok()?)));
    parted.ok_or_else(|| "give two numbers of pieces, as in 5:4".into())
}

/// `spelk stock`.
#[derive(Debug, ClapArgs)]
pub struct Stock {
    /// The job file
    pub job: PathBuf,
    /// Lay the pieces on the boards; what is pinned or cut stays
    #[arg(long)]
    pub lay_out: bool,
    /// How long to look for less waste when laying out (0 to 1000)
    #[arg(long, default_value_t = 4, value_name = "N", value_parser = clap::value_parser!(u32).range(0..=1000))]
    pub effort: u32,
    /// First bring the shop's boards into the job, those of its woods
    #[arg(long)]
    pub from_shop: bool,
    /// At last give the boards to the shop as they are now, with what was cut gone
    #[arg(long)]
    pub to_shop: bool,
    /// The shop file (default: one for each user)
    #[arg(long, value_name = "SHOP.spelk")]
    pub shop: Option<PathBuf>,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk edit`.
#[derive(Debug, ClapArgs)]
pub struct Edit {
    /// The job file
    pub job: PathBuf,
    /// A JSON list of edits; - reads standard input
    pub edits: PathBuf,
    /// Print what changed as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk trace`.
#[derive(Debug, ClapArgs)]
pub struct Trace {
    /// The job file
    pub job: PathBuf,
    /// About how many pieces in all (default: as before)
    #[arg(long, value_name = "N")]
    pub pieces: Option<u32>,
    /// About twice as many pieces here: a part's name, or corners around a place in the job's unit, as in
    /// "20,30 90,30 60,80"
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true, value_parser = no_flag)]
    pub more: Vec<String>,
    /// About half as many pieces here
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true, value_parser = no_flag)]
    pub fewer: Vec<String>,
    /// Forget the places of earlier times
    #[arg(long)]
    pub even: bool,
    /// Ink, dark drawn lines: leave it a colour as any other, close it to the middle of each line, keep it open as gaps or
    /// shadow, or let it alone part the picture (default: as before)
    #[arg(long, value_name = "leave|close|open|alone", value_parser = ["leave", "close", "open", "alone"])]
    pub ink: Option<String>,
    /// Bridge breaks in ink, or in the lines of a drawing on paper, up to this wide, between ends that face each other; 0mm for none
    /// (default: as before)
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LENGTH")]
    pub bridge: Option<String>,
    /// Where the sheet of a drawing on paper lies in its photograph: four corners, clockwise from the top left, percent of its
    /// width and height, as in "8,6 93,7 95,92 6,94" (default: as before)
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "PLACES")]
    pub corners: Option<String>,
    /// Hold these pieces as they lie: numbers, or a part's name
    #[arg(long, value_name = "PIECES")]
    pub hold: Vec<String>,
    /// Let these pieces be drawn anew, though they were held or drawn by hand
    #[arg(long, value_name = "PIECES")]
    pub let_go: Vec<String>,
    /// Print what changed as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk subject`.
#[derive(Debug, ClapArgs)]
pub struct Subject {
    /// The job file
    pub job: PathBuf,
    /// A stroke over what becomes wood: points over the picture in the job's unit, as in "120,80 180,90", or one, a touch. It is
    /// 1 mm wide, and what lies under it becomes wood, whatever colours and edges say, unless the picture is transparent there.
    /// Where strokes cross the later counts, of those of one command that to keep
    #[arg(long, value_name = "STROKE", allow_hyphen_values = true, value_parser = no_flag)]
    pub keep: Vec<String>,
    /// A stroke over the ground, likewise; one that runs round the subject drops all beyond it
    #[arg(long, value_name = "STROKE", allow_hyphen_values = true, value_parser = no_flag)]
    pub drop: Vec<String>,
    /// First take all earlier marks away
    #[arg(long)]
    pub clear: bool,
    /// First say by a picture of the same shape what becomes wood: where it is white, or, if parts of it are transparent,
    /// where it is opaque; it takes the place of an earlier mask
    #[arg(long, value_name = "FILE")]
    pub mask: Option<PathBuf>,
    /// First take the mask away
    #[arg(long, conflicts_with = "mask")]
    pub unmask: bool,
    /// Write the picture with its ground transparent, to look at
    #[arg(long, value_name = "FILE.png")]
    pub out: Option<PathBuf>,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk heights`.
#[derive(Debug, ClapArgs)]
pub struct Heights {
    /// The job file
    pub job: PathBuf,
    /// Keep all heights but those that have to move: musts and facts hold, wishes are missed by no more than before
    #[arg(long)]
    pub mend: bool,
    /// First let heights run from the lowest to the highest of these, as in 12mm,60mm
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LOWEST,HIGHEST")]
    pub range: Option<String>,
    /// First add thicknesses to the stock, as in 22mm or 1/2in,5/8in
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "THICKNESSES")]
    pub add_thickness: Option<String>,
    /// First add raisers to the stock
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "RAISERS")]
    pub add_raiser: Option<String>,
    /// Print what moved and which wishes are missed as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk sheets`.
#[derive(Debug, ClapArgs)]
pub struct Sheets {
    /// The job file
    pub job: PathBuf,
    /// The folder to write into
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// The paper: a5 to a0, letter, legal, tabloid, or a roll as in roll-610mm
    #[arg(long, default_value = "a4")]
    pub paper: String,
    /// Only the pieces of this part and of the parts within it
    #[arg(long, value_name = "NAME")]
    pub part: Option<String>,
    /// Only these kinds of sheet, parted by commas: cover, picture, map, pattern, copies, prints, singles, behind,
    /// heights, backer, boards, blades, list, labels, notes (prints: the copies at true scale, never in the whole book)
    #[arg(long, value_name = "KIND,…")]
    pub only: Option<String>,
    /// Only this piece, on a page of its own
    #[arg(long, value_name = "N")]
    pub piece: Option<u32>,
    /// A line along which heights are shown, from X1,Y1 to X2,Y2, from the panel's left and top, as in
    /// 0mm,150mm,420mm,80mm; may be given again (default: through the middle, level and upright)
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "X1,Y1,X2,Y2")]
    pub section: Vec<String>,
    /// Write the book even when it has over 500 pages (otherwise it asks, or refuses where nobody can answer)
    #[arg(long)]
    pub yes: bool,
}

/// `spelk view`.
#[derive(Debug, ClapArgs)]
pub struct View {
    /// The job file
    pub job: PathBuf,
    /// What to write, by its ending: .png a picture, .glb the relief in 3D, .pfm numbers (of --show depth, colour or light)
    #[arg(long, value_name = "P.png")]
    pub out: PathBuf,
    /// Pixels across (64 to 8000)
    #[arg(long, default_value_t = 1600, value_name = "PIXELS", value_parser = clap::value_parser!(u32).range(64..=8000))]
    pub pixels: u32,
    /// What of the relief: the woods in the light, greys alone, or as numbers heights (mm), reflectance or light
    #[arg(long, value_enum, default_value_t = Shows::Picture)]
    pub show: Shows,
    /// The woods raw, without the finish
    #[arg(long)]
    pub raw: bool,
    /// After so many years on the wall
    #[arg(long, default_value_t = 0, value_name = "YEARS", value_parser = clap::value_parser!(u32).range(0..=100))]
    pub years: u32,
    /// Seen from so far aside: degrees to the right, to the left below 0
    #[arg(long, default_value_t = 0, allow_hyphen_values = true, value_name = "DEGREES", value_parser = clap::value_parser!(i32).range(-30..=30))]
    pub aside: i32,
    /// Only what is glued into place so far
    #[arg(long)]
    pub set: bool,
    /// Without the job's frame
    #[arg(long)]
    pub without_frame: bool,
    /// With the picture beside it
    #[arg(long)]
    pub picture: bool,
    /// The same on up to three backers side by side: walnut-black,wenge,maple-hard
    #[arg(long, value_name = "WOODS", value_delimiter = ',', num_args = 1..=3)]
    pub backers: Vec<String>,
    /// With up to three kept variants put back, side by side, by their names
    #[arg(long, value_name = "NAMES", value_delimiter = ',', num_args = 1..=3, conflicts_with = "backers")]
    pub variants: Vec<String>,
    /// Gloss of the finish, percent
    #[arg(long, default_value_t = 25, value_name = "PERCENT", value_parser = clap::value_parser!(u32).range(0..=100))]
    pub gloss: u32,
    /// Where the light comes from on the wall, degrees clockwise from above: 270 from the left
    #[arg(long, default_value_t = 308, value_name = "DEGREES", value_parser = clap::value_parser!(u32).range(0..=360))]
    pub lamp_from: u32,
    /// How high the lamp stands off the wall, degrees
    #[arg(long, default_value_t = 50, value_name = "DEGREES", value_parser = clap::value_parser!(u32).range(15..=85))]
    pub lamp_height: u32,
    /// The lamp's share of the light, percent; the rest comes from all round
    #[arg(long, default_value_t = 62, value_name = "PERCENT", value_parser = clap::value_parser!(u32).range(0..=95))]
    pub lamp_share: u32,
    /// Blurred as seen from this far: 3m is 3000mm
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LENGTH")]
    pub away: Option<String>,
    /// One part alone, by its name
    #[arg(long, value_name = "NAME")]
    pub part: Option<String>,
}

/// What a view shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Shows {
    /// The woods in the light
    Picture,
    /// Light and dark alone
    Greys,
    /// Heights above the backer, mm
    Depth,
    /// Reflectance, linear
    Colour,
    /// Light sent to the eye, linear
    Light,
}

/// `spelk woods`.
#[derive(Debug, ClapArgs)]
pub struct Woods {
    /// The job file
    pub job: PathBuf,
    /// Choose a wood and a grain for every piece that has none by hand and is not begun
    #[arg(long, conflicts_with_all = ["piece", "part", "first"])]
    pub choose: bool,
    /// Offer woods for the piece of this number
    #[arg(long, value_name = "N", conflicts_with = "part")]
    pub piece: Option<u32>,
    /// Offer woods for the part of this number, with all parts within it
    #[arg(long, value_name = "N")]
    pub part: Option<u32>,
    /// What counts first
    #[arg(long, value_enum)]
    pub first: Option<First>,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// What counts first when woods are offered.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum First {
    /// Lightness
    Lightness,
    /// Hue and chroma
    Hue,
}

/// `spelk shop`.
#[derive(Debug, ClapArgs)]
pub struct Shop {
    /// A JSON list of changes; - reads standard input; without it the shop is shown
    pub edits: Option<PathBuf>,
    /// The shop file (default: one for each user)
    #[arg(long, value_name = "SHOP.spelk")]
    pub file: Option<PathBuf>,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk board`.
#[derive(Debug, ClapArgs)]
pub struct Board {
    /// The photograph: PNG, JPEG, WebP, TIFF, GIF or BMP
    pub photo: PathBuf,
    /// The board's corners, clockwise as seen, the ends of its length first: percent of the photograph's width and
    /// height, as in "10,20 90,22 91,60 9,58"
    #[arg(long, value_name = "FOUR PLACES", allow_hyphen_values = true, value_parser = no_flag)]
    pub corners: String,
    /// Four corners of a plain part of the paper or card, likewise
    #[arg(long, value_name = "FOUR PLACES", allow_hyphen_values = true, value_parser = no_flag)]
    pub white: String,
    /// From the first corner to the second
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LENGTH")]
    pub length: String,
    /// From the second to the third; without it the perspective of the whole, uncropped photograph tells
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, value_parser = no_flag)]
    pub width: Option<String>,
    /// How thick the board is now
    #[arg(long, allow_hyphen_values = true, value_parser = no_flag, value_name = "LENGTH")]
    pub thickness: String,
    /// Its wood
    #[arg(long, value_name = "WOOD")]
    pub wood: String,
    /// What you call it
    #[arg(long)]
    pub name: String,
    /// The white is a grey card of 18 %
    #[arg(long, conflicts_with = "reflects")]
    pub grey_card: bool,
    /// The percent of light that the white gives back (default: 90, as copy paper)
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    pub reflects: Option<f64>,
    /// Keep its colour as your own of this wood, in the place of the table's
    #[arg(long)]
    pub own_colour: bool,
    /// Keep its face, straightened, in white light
    #[arg(long, value_name = "P.png")]
    pub face: Option<PathBuf>,
    /// Look only: put nothing on the rack
    #[arg(long)]
    pub look: bool,
    /// The shop file (default: one for each user)
    #[arg(long, value_name = "SHOP.spelk")]
    pub file: Option<PathBuf>,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

fn percent(text: &str) -> Result<f64, String> {
    let value = text.parse::<f64>().ok().filter(|value| (1.0..=100.0).contains(value));
    value.ok_or_else(|| "give a percent from 1 to 100".into())
}

/// `spelk test`.
#[derive(Debug, ClapArgs)]
pub struct Test {
    /// The job file
    pub job: PathBuf,
    /// The photograph: PNG, JPEG, WebP, TIFF, GIF or BMP
    pub photo: PathBuf,
    /// A test piece: its wood and four corners of a plain part of its face, clockwise, percent of the photograph's width
    /// and height, as in "cherry-black 10,40 40,40 40,90 10,90"; once for each piece
    #[arg(long, value_name = "WOOD FOUR PLACES", required = true, allow_hyphen_values = true, value_parser = no_flag)]
    pub piece: Vec<String>,
    /// Four corners of a plain part of the paper or card, likewise
    #[arg(long, value_name = "FOUR PLACES", allow_hyphen_values = true, value_parser = no_flag)]
    pub white: String,
    /// Coats of the job's finish on the pieces
    #[arg(long, value_name = "N")]
    pub coats: u32,
    /// Who made the test, and when: "A. Maker, 3 May 2026"
    #[arg(long, value_name = "WHO, WHEN")]
    pub by: String,
    /// The white is a grey card of 18 %
    #[arg(long, conflicts_with = "reflects")]
    pub grey_card: bool,
    /// The percent of light that the white gives back (default: 90, as copy paper)
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    pub reflects: Option<f64>,
    /// Look only: the job stays as it is
    #[arg(long)]
    pub look: bool,
    /// Print facts as JSON
    #[arg(long)]
    pub json: bool,
}

/// `spelk demo`.
#[derive(Debug, ClapArgs)]
pub struct Demo {
    /// The folder to write
    #[arg(default_value = "spelk-demo")]
    pub folder: PathBuf,
}

/// A value that may begin with a minus, and is no flag of its own: a flag in its place says that it was left out.
fn no_flag(typed: &str) -> Result<String, String> {
    match typed.strip_prefix("--") {
        Some(flag) if flag.starts_with(|c: char| c.is_ascii_alphabetic()) => {
            Err(format!("a value is missing here, for {typed} is a flag of its own"))
        }
        _ => Ok(typed.into()),
    }
}

/// A length as typed.
pub fn length(text: &str) -> Result<Um, crate::failure::Failure> {
    measure::length::parse(text).map_err(|error| crate::failure::Failure::Typed(error.to_string()))
}

/// A length as typed, or none: `0mm`.
pub fn length_or_none(text: &str) -> Result<Um, crate::failure::Failure> {
    measure::length::parse_or_zero(text).map_err(|error| crate::failure::Failure::Typed(error.to_string()))
}

/// Raisers as typed, parted by commas; none is one of them.
pub fn raisers(text: &str) -> Result<Vec<Um>, crate::failure::Failure> {
    text.split(',').map(|each| length_or_none(each.trim())).collect()
}

/// Lengths as typed, parted by commas.
pub fn lengths(text: &str) -> Result<Vec<Um>, crate::failure::Failure> {
    text.split(',').map(|each| length(each.trim())).collect()
}
