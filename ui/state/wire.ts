// Made from crates/studio/src/wire by `cargo xtask wire`; do not change by hand.

/**
 * `POST /api/accept`: trace at full quality and take it.
 */
export type Accept = { 
/**
 * About how many pieces.
 */
pieces: number, };

/**
 * `act_ended`: a long act is over.
 */
export type ActEnded = { 
/**
 * Its id.
 */
id: number, 
/**
 * What it did.
 */
name: string, 
/**
 * Its outcome was taken, or is there to fetch.
 */
ok: boolean, 
/**
 * Somebody stopped it.
 */
stopped: boolean, 
/**
 * Why not, or what the maker should know.
 */
refusal: Trouble | null, };

/**
 * `act`: how far a long act is.
 */
export type ActTold = { 
/**
 * Its id.
 */
id: number, 
/**
 * What it does: `trace`, `choose_woods`, `work_out_heights`, `mend_heights`, `view`, `sheets`.
 */
name: string, 
/**
 * The share done, 0 to 1.
 */
done: number, 
/**
 * Its stage in the maker's words.
 */
text: string, };

/**
 * An area of the pattern.
 */
export type Area = { 
/**
 * Its id.
 */
id: AreaId, 
/**
 * What it becomes.
 */
becomes: "piece" | "shadow" | "ground", 
/**
 * Its piece's number.
 */
number: Number | null, 
/**
 * Its outline, holes too (fill rule evenodd).
 */
d: string, 
/**
 * Where its number fits.
 */
label: Label | null, 
/**
 * Its area, mm².
 */
area_mm2: number, 
/**
 * Its colour in the picture, `#rrggbb`.
 */
picture: string | null, 
/**
 * Its wood.
 */
wood: WoodId | null, 
/**
 * How that wood looks under the finish, `#rrggbb`.
 */
look: string | null, 
/**
 * Why tracing again leaves it as it lies: its outline was drawn or held by hand, or what it becomes is settled.
 */
stays: "drawn" | "settled" | null, };

/**
 * An area of the pattern; not a number, since shadow and ground are areas too.
 */
export type AreaId = number;

/**
 * A long act.
 */
export type Ask = { "trace": TraceChoices } | "choose_woods" | "turn_grain" | "work_out_heights" | "mend_heights" | { "lay_out": { 
/**
 * Attempts beyond the first.
 */
effort: number, } };

/**
 * `POST /api/ask`: a long act.
 */
export type AskFor = { 
/**
 * Which.
 */
ask: Ask, };

/**
 * The words beside the picture of `POST /api/start` (multipart: `picture`, perhaps a `mask`, and this as `asking`).
 */
export type Asking = { 
/**
 * The work's title; also the name of its file.
 */
title: string, 
/**
 * The finished width as typed: `420 mm`, `16 1/2 in`.
 */
width: string, 
/**
 * `thin`, `thick`, or thicknesses as in `3mm, 6mm`.
 */
stock: string, 
/**
 * Everything becomes pieces: no plain or transparent ground is dropped.
 */
keep_all: boolean, 
/**
 * What becomes of ink.
 */
ink?: InkChoice, 
/**
 * Where the sheet lies in the picture, when that is a line drawing on paper.
 */
paper?: Paper, 
/**
 * How the picture lies under the panel; the whole of it where nothing is said.
 */
framing?: Framing, 
/**
 * At most this many woods.
 */
woods?: number, 
/**
 * Who made the picture.
 */
author: string, 
/**
 * Where the picture is from.
 */
source: string, 
/**
 * By what permission it is used.
 */
permission: string, 
/**
 * The folder to put the job in, instead of the desk's.
 */
folder?: string, };

/**
 * The state that the page shows: the body of `POST /api/undo` and `/api/redo`, and `asking` of `/api/mask` (multipart, with a
 * picture as `mask`, or without one to take the mask away).
 */
export type At = { 
/**
 * The revision on the page.
 */
at: number, };

/**
 * The direction of the grain on the face: hundredths of a degree, 0 to 17 999, counterclockwise from "to the right" as
 * seen from the front. Grain has no sense, so 180° is 0°.
 */
export type Axis = number;

/**
 * A wood behind the pieces.
 */
export type BehindSeen = { 
/**
 * The wood.
 */
wood: WoodId, 
/**
 * Share of the border length along which it is told apart, 0 to 1.
 */
told_apart: number, 
/**
 * The piece that it is nearest to, and ΔE00.
 */
nearest: [Number, number] | null, 
/**
 * Pieces that it is not sure to be told from.
 */
unsure: Array<Number>, };

/**
 * A change of the log.
 */
export type BenchEdit = { "log": Fact };

/**
 * A blade, by its trade number. Numbers are no standard, so a measured blade of the maker's goes before the table.
 */
export type Blade = { 
/**
 * Its trade number, such as 5 or 2/0.
 */
number: string, 
/**
 * From the teeth to the back.
 */
width: Um, 
/**
 * From side to side; nearly the kerf.
 */
thickness: Um, 
/**
 * Teeth an inch, tenths.
 */
teeth: number, 
/**
 * The thinnest stock that it suits.
 */
from: Um, 
/**
 * The thickest stock that it suits.
 */
to: Um, 
/**
 * Where its size is from.
 */
source: string, };

/**
 * A blade that pieces are sawn with.
 */
export type BladeSeen = { 
/**
 * The trade's number.
 */
number: string, 
/**
 * From teeth to back.
 */
width: Um, 
/**
 * What it removes.
 */
kerf: Um, 
/**
 * The least radius that it follows.
 */
bend: Um, 
/**
 * The hole that it is threaded through.
 */
hole: Um, };

/**
 * One real piece of stock, seen on its show face: x right, y down, from a corner of the maker's choice.
 */
export type Board = { 
/**
 * What the maker calls it.
 */
name: string, 
/**
 * Its wood.
 */
wood: WoodId, 
/**
 * Its edge, the first point not repeated.
 */
outline: Array<Point>, 
/**
 * Its thickness as it is now.
 */
thickness: Um, 
/**
 * How its grain runs on the face.
 */
grain: Axis, 
/**
 * Places with a colour of their own: no piece is laid across their edge.
 */
zones: Array<Zone>, 
/**
 * Places to keep off: knots, cracks, stain.
 */
faults: Array<Array<Point>>, 
/**
 * What it cost, hundredths of the maker's coin.
 */
price: number | null, 
/**
 * The board that it is the rest of.
 */
from: BoardId | null, 
/**
 * The shop's board that it is a copy of.
 */
shop: BoardId | null, 
/**
 * What was cut from it.
 */
used: Array<Used>, 
/**
 * Its face as it was photographed.
 */
photograph: Photograph | null, };

/**
 * A board.
 */
export type BoardId = number;

/**
 * The answer to `POST /api/board/look` (multipart: `photo`, and where the board lies in it as `shot`); its face is at `/api/board/face.png`.
 */
export type BoardLook = { 
/**
 * Its size.
 */
length: Um, 
/**
 * Likewise.
 */
width: Um, 
/**
 * The colour of the most of it, for CSS.
 */
colour: string, 
/**
 * L*, a* and b* of that, thousandths.
 */
lab: [number, number, number], 
/**
 * How far that lies from the table's colour of its wood, ΔE00.
 */
off: number, 
/**
 * Its zones: what each is called, and its colour for CSS.
 */
zones: Array<[string, string]>, };

/**
 * A part of a board that is planed by itself.
 */
export type BoardPart = { 
/**
 * Where it begins, from the board's left end.
 */
from: Um, 
/**
 * Where it ends.
 */
to: Um, 
/**
 * How thick what lies on it becomes, if anything does.
 */
thickness: Um | null, };

/**
 * `POST /api/board/put`: the board that was looked at goes on the rack.
 */
export type BoardPut = { 
/**
 * The revision on the page.
 */
at: number, 
/**
 * Its colour takes the place of the table's.
 */
own_colour: boolean, };

/**
 * A board.
 */
export type BoardSeen = { 
/**
 * Its id.
 */
id: BoardId, 
/**
 * What the maker calls it.
 */
name: string, 
/**
 * Its wood.
 */
wood: WoodId, 
/**
 * Its thickness.
 */
thickness: Um, 
/**
 * Its parts from the left end on: one, or several between straight cuts.
 */
parts: Array<BoardPart>, 
/**
 * Its grain: hundredths of a degree counterclockwise from "to the right".
 */
grain: number, 
/**
 * Left and upper end of the box around it, width and height, mm.
 */
box_mm: [number, number, number, number], 
/**
 * Its edge.
 */
d: string, 
/**
 * Its faults.
 */
faults_d: string, 
/**
 * The box around each fault: left, top, width and height, mm.
 */
faults: Array<[number, number, number, number]>, 
/**
 * Its zones.
 */
zones_d: string, 
/**
 * What each zone is called.
 */
zones: Array<ZoneSeen>, 
/**
 * What was cut from it.
 */
used_d: string, 
/**
 * What it cost, hundredths of a coin.
 */
price: number | null, 
/**
 * Its photograph at `/api/photograph/` and this, and how much of x and y it covers, mm.
 */
photograph: [string, number, number] | null, };

/**
 * A border of the pattern.
 */
export type Border = { 
/**
 * Its id.
 */
id: BorderId, 
/**
 * The area to its left, `None` beyond the panel.
 */
left: AreaId | null, 
/**
 * The area to its right, `None` beyond the panel.
 */
right: AreaId | null, 
/**
 * Its line.
 */
d: string, 
/**
 * How far its areas stand apart, 0 for a plain saw line.
 */
gap: Um, 
/**
 * How wide the drawn line is that was closed on it; 0 where it follows none.
 */
ink: Um, };

/**
 * A border of the pattern.
 */
export type BorderId = number;

/**
 * Who chose: a fact outweighs the hand, the hand outweighs an act. Acts may touch only what acts chose.
 */
export type By = "act" | "hand" | "fact";

/**
 * The areas in a lasso.
 */
export type Chosen = { 
/**
 * Their ids.
 */
areas: Array<AreaId>, };

/**
 * An upright rectangle over the turned picture, in millionths of the width and height that the picture has as it lies after its
 * quarter turns; the rest of the turn moves the picture beneath it.
 */
export type Crop = { 
/**
 * From the picture's left edge to that of the rectangle.
 */
left: number, 
/**
 * From the picture's upper edge to that of the rectangle.
 */
top: number, 
/**
 * Across.
 */
width: number, 
/**
 * Down.
 */
height: number, };

/**
 * A day, as the maker wrote it: year, month, day.
 */
export type Date = [number, number, number];

/**
 * What a change changed: the answer to an edit, and the event `delta`. A list that is `None` is as it was.
 */
export type Delta = { 
/**
 * The revision that it builds on.
 */
from: number, 
/**
 * The revision that it leads to.
 */
revision: number, 
/**
 * The step of the file's history that the job stands at now.
 */
step: number, 
/**
 * What undo would take back now.
 */
undo: string | null, 
/**
 * What redo would bring back now.
 */
redo: string | null, 
/**
 * Settings.
 */
setup: Setup | null, 
/**
 * Areas that are new or changed.
 */
areas: Array<Area>, 
/**
 * Areas that went.
 */
gone_areas: Array<AreaId>, 
/**
 * Borders that are new or changed.
 */
borders: Array<Border>, 
/**
 * Borders that went.
 */
gone_borders: Array<BorderId>, 
/**
 * Pieces that are new or changed.
 */
pieces: Array<Piece>, 
/**
 * Pieces that went.
 */
gone_pieces: Array<Number>, 
/**
 * All parts.
 */
parts: Array<Part> | null, 
/**
 * All woods.
 */
woods: Array<Wood> | null, 
/**
 * All relations.
 */
relations: Array<Relation> | null, 
/**
 * All marks.
 */
marks: Array<Mark> | null, 
/**
 * All that the last trace found too fine to saw.
 */
swallowed: Array<Swallowed> | null, 
/**
 * All lines that part nothing.
 */
lines: Array<LineSeen> | null, 
/**
 * All boards.
 */
boards: Array<BoardSeen> | null, 
/**
 * Pieces that lie otherwise than before.
 */
lies: Array<Lying>, 
/**
 * Pieces that lie nowhere any more.
 */
gone_lies: Array<Number>, 
/**
 * All that is still to be bought.
 */
missing: Array<MissingSeen> | null, 
/**
 * For who made the change: what came of the relations and depth marks that it touched, in words.
 */
told: Array<string>, };

/**
 * A depth mark.
 */
export type Depth = "far" | "middle" | "near";

/**
 * `GET /api/desk`: what lies on the desk.
 */
export type Desk = { 
/**
 * The open job's file; `None` on the start page.
 */
job: string | null, 
/**
 * Jobs that were open before, the latest first.
 */
recent: Array<Recent>, 
/**
 * Where new jobs are put unless the maker names a folder.
 */
folder: string, 
/**
 * spelk's version.
 */
version: string, };

/**
 * A draft: to look at, never stored.
 */
export type Draft = { 
/**
 * How many pieces it has.
 */
pieces: number, 
/**
 * Its areas, ground left out.
 */
areas: Array<DraftArea>, 
/**
 * Every border as one path.
 */
line_d: string, };

/**
 * An area of a draft.
 */
export type DraftArea = { 
/**
 * Its outline.
 */
d: string, 
/**
 * Its colour in the picture, `#rrggbb`.
 */
picture: string | null, };

/**
 * `POST /api/draft`: about how many pieces.
 */
export type DraftFor = { 
/**
 * The number.
 */
pieces: number, 
/**
 * With borders fitted to its own colours, as accepting it will draw them; without it, at once.
 */
fitted: boolean, };

/**
 * A change. All go through `workshop::apply`.
 */
export type Edit = { "setup": SetupEdit } | { "picture": PictureEdit } | { "pattern": PatternEdit } | { "part": PartEdit } | { "wood": WoodEdit } | { "relief": ReliefEdit } | { "saw": SawEdit } | { "stock": StockEdit } | { "bench": BenchEdit };

/**
 * `POST /api/edit`: edits, all or none.
 */
export type EditBody = { 
/**
 * The revision on the page.
 */
at: number, 
/**
 * The edits.
 */
edits: Array<Edit>, };

/**
 * Something that happened at the bench.
 */
export type Fact = { "became": { 
/**
 * The piece.
 */
piece: Number, 
/**
 * Its new state.
 */
state: State, 
/**
 * The day.
 */
on: Date, 
/**
 * Its measured height, µm.
 */
height: Um | null, } } | { "struck": { 
/**
 * Its place in the log, from 0.
 */
entry: number, 
/**
 * Why.
 */
why: string, } };

/**
 * Something that a check found.
 */
export type Finding = { 
/**
 * The same for the same trouble at the same place.
 */
key: string, 
/**
 * What kind it is.
 */
kind: Kind, 
/**
 * How grave.
 */
grave: Grave, 
/**
 * The kind in words.
 */
what: string, 
/**
 * What is wrong and why it matters.
 */
why: string, 
/**
 * Where to put its sign, mm.
 */
at_mm: Array<[number, number]>, 
/**
 * Areas that it speaks of, those of its pieces too.
 */
areas: Array<AreaId>, 
/**
 * Borders that it speaks of.
 */
borders: Array<BorderId>, 
/**
 * Pieces that it speaks of.
 */
pieces: Array<Number>, 
/**
 * Relations that it speaks of.
 */
relations: Array<RelationId>, 
/**
 * What mends it.
 */
ways: Array<Way>, };

/**
 * A piece that is fitted to a neighbour.
 */
export type FitSeen = { 
/**
 * The piece with the spare wood.
 */
later: Number, 
/**
 * The one that is finished first.
 */
first: Number, 
/**
 * How they meet.
 */
meets: Meets, };

/**
 * `findings`: what a check of this revision found.
 */
export type Found = { 
/**
 * The revision that was checked.
 */
revision: number, 
/**
 * The findings, gravest first.
 */
findings: Array<Finding>, };

/**
 * The moulding of a frame with a rabbet: mitred, its lip over the panel's edge.
 */
export type Frame = { 
/**
 * What it is made of.
 */
wood: WoodId, 
/**
 * How wide its face is, seen from the front.
 */
width: Um, 
/**
 * How far its lip lies over the panel, all round.
 */
lip: Um, };

/**
 * How the picture lies under the panel: turned about its middle, then cropped.
 */
export type Framing = { 
/**
 * Hundredths of a degree clockwise as seen, -18000 to 18000. Within 45° of a quarter turn the picture lies on that side, and the
 * rest levels it.
 */
turn: number, 
/**
 * What of it is seen.
 */
crop: Crop, };

/**
 * How grave a finding is; the gravest sorts first.
 */
export type Grave = "grave" | "doubt" | "note";

/**
 * What becomes of a plain ground joined to the edges, or of what is transparent.
 */
export type GroundChoice = "drop" | "keep";

/**
 * `hello`: the first event of a stream. A page that shows another revision fetches `/api/seen`; so it does on `resync`.
 */
export type Hello = { 
/**
 * The job's revision, `None` when none is open.
 */
revision: number | null, };

/**
 * What becomes of the picture's ink, dark drawn lines.
 */
export type InkChoice = "leave" | "close" | "open" | "alone";

/**
 * `GET /api/woods/judged`: what the woods as they are chosen leave open.
 */
export type Judged = { 
/**
 * Pairs of woods that cannot be told before a test, the longest common border first.
 */
tests: Array<TestPair>, 
/**
 * Woods as backer, the best first, the one that is chosen now among them.
 */
backers: Array<BehindSeen>, 
/**
 * Woods of the board behind the ground likewise; none where no ground was dropped.
 */
grounds: Array<BehindSeen>, };

/**
 * Every kind of finding.
 */
export type Kind = "too_thin" | "too_small" | "island" | "swallowed" | "loose_end" | "low_contrast" | "fades" | "backer_alike" | "too_little_wood" | "unsure_colour" | "too_many_woods" | "hazard" | "protected" | "no_way" | "unmet" | "off_stock" | "unreadable_step" | "empty_part" | "planer_settings" | "lost_border" | "out_of_frame" | "neck" | "tongue" | "short_grain" | "beyond_saw" | "tall" | "handling" | "little_glue" | "tight_bend" | "sharp_corner" | "hollow" | "no_board" | "lies_wrong" | "no_letters";

/**
 * A colour in CIE 1976 L*a*b*, white D65.
 */
export type Lab = { 
/**
 * Lightness, 0 black to 100 white.
 */
l: number, 
/**
 * Green (negative) to red.
 */
a: number, 
/**
 * Blue (negative) to yellow.
 */
b: number, };

/**
 * The widest circle inside an area.
 */
export type Label = { 
/**
 * Its centre, to the right.
 */
x_mm: number, 
/**
 * Its centre, down.
 */
y_mm: number, 
/**
 * Its radius.
 */
r_mm: number, };

/**
 * How pieces are laid on boards.
 */
export type Laying = { 
/**
 * The grain runs within so many hundredths of a degree of its direction.
 */
grain_within: number, 
/**
 * Whether a piece may be turned end for end: some woods then catch the light otherwise.
 */
flip: boolean, 
/**
 * Between pieces: the kerf and room for a rough cut.
 */
apart: Um, 
/**
 * To the edge of a board and to its faults.
 */
edge: Um, 
/**
 * Whether a thicker board may be planed down.
 */
plane: boolean, 
/**
 * Whether pieces of several thicknesses may share a board where a straight cut across parts them.
 */
crosscut: boolean, 
/**
 * What is bought above what is needed, percent.
 */
allowance: number, };

/**
 * Where a piece lies on a board: turned about the middle of its box, then moved. No mirror exists.
 */
export type Lie = { 
/**
 * The board.
 */
board: BoardId, 
/**
 * Hundredths of a degree, counterclockwise as seen, 0 to 35 999.
 */
turn: number, 
/**
 * Where the middle of its box comes to lie.
 */
at: Point, };

/**
 * What becomes of a line that ends inside a piece.
 */
export type LineBecomes = "left_out" | "slot" | "burnt";

/**
 * A drawn line that parts nothing.
 */
export type LineSeen = { 
/**
 * Its middle.
 */
d: string, 
/**
 * Where it ends, mm.
 */
at_mm: [number, number], 
/**
 * How wide it is.
 */
width: Um, 
/**
 * What becomes of it.
 */
becomes: LineBecomes, 
/**
 * Whether it is taken for writing.
 */
writing: boolean, 
/**
 * The piece that it ends in.
 */
piece: Number | null, };

/**
 * An entry of the log of the bench that stands.
 */
export type Logged = { 
/**
 * Its place in the log, by which it is struck.
 */
entry: number, 
/**
 * What its piece became.
 */
state: State, 
/**
 * The day.
 */
on: Date, 
/**
 * The piece's measured height.
 */
height: Um | null, };

/**
 * Where a piece lies.
 */
export type Lying = { 
/**
 * The piece.
 */
piece: Number, 
/**
 * Where.
 */
lie: Lie, 
/**
 * Who laid it.
 */
by: By, 
/**
 * Its outer ring on the board.
 */
d: string, 
/**
 * The middle of its widest circle there, mm.
 */
label_mm: [number, number], };

/**
 * A depth mark.
 */
export type Mark = { 
/**
 * Of whom.
 */
whom: Whom, 
/**
 * How deep.
 */
depth: Depth, };

/**
 * How a piece meets a neighbour whose edge is finished first. Where nothing is said both are sawn on their shared line,
 * and the gap between them is one kerf.
 */
export type Meets = "cut_to" | "lets_in";

/**
 * Wood that is still to be bought.
 */
export type MissingSeen = { 
/**
 * The wood.
 */
wood: WoodId, 
/**
 * The finished thickness.
 */
thickness: Um, 
/**
 * The pieces.
 */
pieces: Array<Number>, 
/**
 * How many boards.
 */
count: number, 
/**
 * The length of each.
 */
length: Um, 
/**
 * The width of each.
 */
width: Um, 
/**
 * Rough thickness in the trade's words.
 */
rough: string | null, 
/**
 * Board feet.
 */
board_feet: number | null, 
/**
 * With the allowance, m².
 */
buy_m2: number, 
/**
 * By the maker's price, hundredths of a coin.
 */
price: number | null, };

/**
 * Allowances around the work.
 */
export type Mount = { 
/**
 * How far the backer reaches beyond the line where open shadow at the edge shows it.
 */
beyond: Um, 
/**
 * How far it stays behind the line where a piece hides its edge.
 */
behind: Um, 
/**
 * Play between the work and the alignment frame.
 */
clearance: Um, 
/**
 * Breadth of the alignment frame at its narrowest.
 */
frame: Um, };

/**
 * A distance by name; how much it is, one setting of the job says.
 */
export type Named = "hair" | "step" | "lot";

/**
 * The number of a piece: it never changes and is never given again.
 */
export type Number = number;

/**
 * A wood that could be taken.
 */
export type Offer = { 
/**
 * The wood.
 */
wood: WoodId, 
/**
 * ΔE00 to the picture's colour brought into the woods' range.
 */
difference: number, 
/**
 * Neighbours that it would be told apart from.
 */
apart: Array<Number>, 
/**
 * Neighbours that it would look the same as.
 */
same: Array<Number>, 
/**
 * Neighbours of which it can't be told before a test.
 */
untold: Array<Number>, 
/**
 * Whether there is less on hand than the pieces take.
 */
short: boolean, };

/**
 * Woods that come near, the best first.
 */
export type Offers = { 
/**
 * The woods.
 */
woods: Array<Offer>, };

/**
 * `POST /api/woods`: which woods would come near these pieces.
 */
export type OffersFor = { 
/**
 * The pieces.
 */
pieces: Array<Number>, };

/**
 * A line drawing on paper; its scan or photograph lies in the job file under `hash`.
 */
export type OnPaper = { 
/**
 * SHA-256 of the file as it was read, hexadecimal.
 */
hash: string, 
/**
 * Corners of the sheet, or of the frame drawn on it, clockwise from the top left, millionths of the picture's width and
 * height; without them the whole picture is the sheet. The panel lies between them.
 */
corners: [[number, number], [number, number], [number, number], [number, number]] | null, };

/**
 * `POST /api/open`: a job file of this machine.
 */
export type Open = { 
/**
 * Its path.
 */
path: string, };

/**
 * A line drawing on paper, scanned or photographed.
 */
export type Paper = { 
/**
 * The corners of the sheet, or of the frame drawn on it, clockwise from the top left, shares of the picture's width and height.
 */
corners: [[number, number], [number, number], [number, number], [number, number]], 
/**
 * The height between them as typed; empty where the picture has to tell it.
 */
height: string, 
/**
 * Breaks in lines up to so wide are bridged, as typed; empty for none.
 */
bridge: string, };

/**
 * A named part.
 */
export type Part = { 
/**
 * Its id.
 */
id: PartId, 
/**
 * Its name.
 */
name: string, 
/**
 * The part that it lies in.
 */
within: PartId | null, 
/**
 * Its own pieces.
 */
pieces: Array<Number>, 
/**
 * Its plans that were kept, with their names.
 */
variants: Array<[VariantId, string]>, };

/**
 * A change of parts or variants.
 */
export type PartEdit = { "name": { 
/**
 * Its name, not yet in use.
 */
name: string, 
/**
 * Its pieces.
 */
pieces: Array<Number>, 
/**
 * The part that it lies in.
 */
within: PartId | null, } } | { "rename": { 
/**
 * The part.
 */
part: PartId, 
/**
 * Its new name.
 */
name: string, } } | { "bring": { 
/**
 * The part.
 */
part: PartId, 
/**
 * The pieces.
 */
pieces: Array<Number>, } } | { "release": { 
/**
 * The part.
 */
part: PartId, 
/**
 * The pieces.
 */
pieces: Array<Number>, } } | { "nest": { 
/**
 * The part.
 */
part: PartId, 
/**
 * Its new surrounding part.
 */
within: PartId | null, } } | { "disband": PartId } | { "keep": { 
/**
 * The part.
 */
part: PartId, 
/**
 * The variant's name, not yet in use for the part.
 */
name: string, } } | { "put_back": VariantId } | { "forget": VariantId };

/**
 * A part.
 */
export type PartId = number;

/**
 * A change of the pattern.
 */
export type PatternEdit = { "ink": { 
/**
 * Those about the pieces of a part; all where nothing is said.
 */
part?: PartId, 
/**
 * Whether they stay open.
 */
open: boolean, } } | { "line": { 
/**
 * Which, as it is listed, from 0.
 */
line: number, 
/**
 * A slot, a burnt line, or nothing.
 */
becomes: LineBecomes, 
/**
 * How wide it is sawn or burnt; as it is drawn where nothing is said.
 */
width?: Um, } } | { "merge": Array<AreaId> } | { "split": { 
/**
 * The area.
 */
area: AreaId, 
/**
 * The line, µm; it is smoothed. Its ends may overshoot the border.
 */
along: Array<Point>, } } | { "draw": { 
/**
 * The line, µm; it is smoothed. Few points, more than 1.2 mm apart in the mean, are joined by a smooth curve; where they turn
 * by more than 66° it has a corner.
 */
along: Array<Point>, } } | { "reshape": { 
/**
 * Where it is held.
 */
at: Point, 
/**
 * Where that place goes.
 */
to: Point, 
/**
 * How far along the border, to each side, it follows: 1 to 200 mm.
 */
width: Um, } } | { "smooth": { 
/**
 * A line along them; one point means the whole border.
 */
along: Array<Point>, 
/**
 * Waves shorter than this go: 1 to 200 mm.
 */
by: Um, } } | { "straighten": { 
/**
 * A line along them, from and to where it is straight; one point means from corner to corner on both sides of it.
 */
along: Array<Point>, } } | { "junction": { 
/**
 * Where it is.
 */
at: Point, 
/**
 * Where it goes.
 */
to: Point, 
/**
 * How far along each border it is felt: 1 to 200 mm.
 */
width: Um, } } | { "open": AreaId } | { "drop": AreaId } | { "close": AreaId } | { "hold": AreaId } | { "let_go": AreaId } | { "gap": { 
/**
 * The border.
 */
border: BorderId, 
/**
 * The gap.
 */
gap: Um, } };

/**
 * A board's face straightened, in even white light, from the board's corner on.
 */
export type Photograph = { 
/**
 * The SHA-256 of the image file, in hexadecimal; the file itself lies in the job file and the shop file.
 */
hash: string, 
/**
 * How much of x it covers.
 */
length: Um, 
/**
 * How much of y it covers.
 */
width: Um, };

/**
 * A change of the picture.
 */
export type PictureEdit = { "place": PictureRef } | { "credit": { 
/**
 * Who made it.
 */
author: string, 
/**
 * Where it is from.
 */
source: string, 
/**
 * By what permission it is used.
 */
permission: string, } } | { "framing": Framing | null } | { "mark": SubjectMarks } | "unmark" | { "ground": GroundChoice } | { "ink": InkChoice } | { "bridge": Um } | { "corners": [[number, number], [number, number], [number, number], [number, number]] | null };

/**
 * The picture and its papers. Its pixels lie in the job file under `hash`.
 */
export type PictureRef = { 
/**
 * SHA-256 of the file as it was read, hexadecimal.
 */
hash: string, 
/**
 * Pixels across, upright.
 */
width: number, 
/**
 * Pixels down, upright.
 */
height: number, 
/**
 * Who made it; empty if not said.
 */
author: string, 
/**
 * Where it is from; empty if not said.
 */
source: string, 
/**
 * By what permission it is used; empty if not said.
 */
permission: string, 
/**
 * What of it fills the panel; the whole where nothing is said.
 */
framing?: Framing, 
/**
 * SHA-256 of the picture as it was before a mask left parts of it out, where one did; another mask begins from it.
 */
unmasked?: string, };

/**
 * A piece.
 */
export type Piece = { 
/**
 * Its number.
 */
number: Number, 
/**
 * Its area.
 */
area: AreaId, 
/**
 * The part that it lies in.
 */
part: PartId | null, 
/**
 * Its wood.
 */
wood: WoodOf | null, 
/**
 * Its grain: degrees counterclockwise from "to the right", 0 to 180.
 */
grain_deg: number | null, 
/**
 * Who turned the grain.
 */
grain_by: By | null, 
/**
 * Top above the backer.
 */
height: PieceLength | null, 
/**
 * Thickness.
 */
thickness: PieceLength | null, 
/**
 * Raiser under it, 0 for none.
 */
raiser: PieceLength | null, 
/**
 * Diameter of the widest circle inside it.
 */
widest: Um, 
/**
 * Its area, mm².
 */
area_mm2: number, 
/**
 * How far it is.
 */
state: State, 
/**
 * What the log of the bench tells of it, in its order; what was struck is left out.
 */
logged: Array<Logged>, };

/**
 * A length of a piece and who chose it.
 */
export type PieceLength = { 
/**
 * The length.
 */
value: Um, 
/**
 * Who chose it.
 */
by: By, };

/**
 * A place of the picture that is to have more pieces than its share, or fewer.
 */
export type Place = { 
/**
 * A closed line around it on the panel, µm; it need not repeat its first point.
 */
around: Array<Point>, 
/**
 * About so many pieces in a hundred that it would have: 200 for twice as many, 50 for half.
 */
percent: number, };

/**
 * A point of the plane, µm.
 */
export type Point = [number, number];

/**
 * From where the work is looked at, and in which light.
 */
export type Reading = { 
/**
 * From the eye to the work.
 */
distance: Um, 
/**
 * Where the light comes from on the wall, degrees clockwise from above.
 */
from: number, 
/**
 * How high it stands above the wall, degrees: 0 along it, 90 straight before it.
 */
height: number, };

/**
 * A job that was open before.
 */
export type Recent = { 
/**
 * Its file.
 */
path: string, 
/**
 * Its title.
 */
title: string, 
/**
 * When it was last opened: seconds since 1970.
 */
when: number, };

/**
 * A relation.
 */
export type Relation = { 
/**
 * Its id.
 */
id: RelationId, 
/**
 * What is said.
 */
says: Says, 
/**
 * The same in words.
 */
words: string, 
/**
 * How strongly.
 */
strength: Strength, 
/**
 * Who said it.
 */
by: By, 
/**
 * The named step that its distance is, if it is one.
 */
named: Named | null, 
/**
 * By how much the decided heights miss it, if it is a wish that they give up.
 */
missed: Um | null, 
/**
 * Of a climb: the piece that is farthest off its even height, where it stands and where it would stand evenly.
 */
uneven: [Number, Um, Um] | null, };

/**
 * A relation between pieces or parts.
 */
export type RelationId = number;

/**
 * A change of the relief.
 */
export type ReliefEdit = { "relate": { 
/**
 * What is said.
 */
says: Says, 
/**
 * How strongly.
 */
strength: Strength, } } | { "relate_by": { 
/**
 * What is said.
 */
says: Says, 
/**
 * How strongly.
 */
strength: Strength, 
/**
 * By how much.
 */
named: Named, } } | { "keep_apart": { 
/**
 * The one.
 */
one: Whom, 
/**
 * The other.
 */
other: Whom, 
/**
 * By how much at the least.
 */
named: Named, 
/**
 * How strongly.
 */
strength: Strength, } } | { "restate": { 
/**
 * The relation.
 */
relation: RelationId, 
/**
 * What is said.
 */
says: Says, 
/**
 * How strongly.
 */
strength: Strength, } } | { "unrelate": RelationId } | { "mark": { 
/**
 * Of whom.
 */
whom: Whom, 
/**
 * How deep.
 */
depth: Depth, } } | { "unmark": Whom } | { "height": { 
/**
 * Of whom.
 */
whom: Whom, 
/**
 * Top above the backer.
 */
height: Um, } } | { "build": { 
/**
 * Of whom.
 */
whom: Whom, 
/**
 * Thickness.
 */
thickness: Um, 
/**
 * Raiser, 0 for none.
 */
raiser: Um, } } | { "unpin": Whom };

/**
 * The maker's saw and blades.
 */
export type Saw = { 
/**
 * From the blade to the frame behind it: a longer piece cannot be swung round.
 */
throat: Um, 
/**
 * The thickest stock that it takes.
 */
thickest: Um, 
/**
 * The maker's own blades, the finest first. They go before those of spelk's table where they suit.
 */
blades: Array<Blade>, 
/**
 * The maker's own rates in 19 mm stock, mm of line a minute, for woods of a side hardness up to 2500, 5500, 9000 N and
 * above; empty for those from memory.
 */
rates: Array<number>, 
/**
 * Seconds for what is not sawing itself, from memory until the maker gives own ones.
 */
times: Times, 
/**
 * Minutes of sawing that a blade lasts, in usual and in the densest woods; from memory until the maker gives own ones.
 */
blade_life: [number, number], 
/**
 * The smallest drum or spindle that edges are sanded on, across.
 */
drum: Um, 
/**
 * Spare wood at a joint that is cut to a finished edge, or let in: 1/16 in, from memory.
 */
spare: Um, };

/**
 * A change of how a piece meets a neighbour, at every border between the two.
 */
export type SawEdit = { "cut_to": { 
/**
 * The piece with the spare wood.
 */
piece: Number, 
/**
 * The neighbour that is finished first.
 */
to: Number, } } | { "let_in": { 
/**
 * The piece that is let in.
 */
piece: Number, 
/**
 * The piece around it.
 */
into: Number, } } | { "on_line": { 
/**
 * One of the two.
 */
piece: Number, 
/**
 * The other.
 */
with: Number, } };

/**
 * `GET /api/saw`: how the pieces are sawn.
 */
export type Sawn = { 
/**
 * The blades in the order in which they are put in, the finest first.
 */
blades: Array<BladeSeen>, 
/**
 * Every piece.
 */
pieces: Array<SawnPiece>, };

/**
 * How a piece is sawn.
 */
export type SawnPiece = { 
/**
 * The piece.
 */
piece: Number, 
/**
 * Its blade, by its place among the blades.
 */
blade: number, 
/**
 * Why this one.
 */
why: string, 
/**
 * Radius of its tightest bend, if it has any.
 */
bend: Um | null, 
/**
 * Start holes to drill.
 */
holes: number, };

/**
 * What can be said of heights. For a part it holds of each of its pieces.
 */
export type Says = { "at_least": { 
/**
 * The higher.
 */
above: Whom, 
/**
 * The lower.
 */
below: Whom, 
/**
 * By how much at the least.
 */
by: Um, } } | { "about": { 
/**
 * The higher.
 */
above: Whom, 
/**
 * The lower.
 */
below: Whom, 
/**
 * By how much.
 */
by: Um, } } | { "level": [Whom, Whom] } | { "same_as": [Whom, Whom] } | { "at": [Whom, Um] } | { "within": [Whom, Um, Um] } | { "climbs": { 
/**
 * In order, lowest first; at least two.
 */
row: Array<Whom>, 
/**
 * Height of the first.
 */
from: Um, 
/**
 * Height of the last.
 */
to: Um, } };

/**
 * What a drawn line runs over, in its order.
 */
export type Section = { 
/**
 * The stretches.
 */
stretches: Array<SectionStretch>, };

/**
 * `POST /api/section`: a line drawn over the pattern.
 */
export type SectionFor = { 
/**
 * Its points, mm.
 */
line_mm: Array<[number, number]>, };

/**
 * A stretch of a drawn line over one area.
 */
export type SectionStretch = { 
/**
 * The area.
 */
area: AreaId, 
/**
 * Where it begins along the line, mm.
 */
from_mm: number, 
/**
 * Where it ends, mm.
 */
to_mm: number, };

/**
 * `GET /api/seen`: everything that the pages show.
 */
export type Seen = { 
/**
 * Counts every change, undo too; never lower after a new start.
 */
revision: number, 
/**
 * The step of the file's history that the job stands at; the same after a new start.
 */
step: number, 
/**
 * The job's file.
 */
path: string, 
/**
 * What undo would take back.
 */
undo: string | null, 
/**
 * What redo would bring back.
 */
redo: string | null, 
/**
 * What is settled for the job as a whole.
 */
setup: Setup, 
/**
 * Every area.
 */
areas: Array<Area>, 
/**
 * Every border.
 */
borders: Array<Border>, 
/**
 * Every piece.
 */
pieces: Array<Piece>, 
/**
 * Every part.
 */
parts: Array<Part>, 
/**
 * The woods that the job may use.
 */
woods: Array<Wood>, 
/**
 * Every relation.
 */
relations: Array<Relation>, 
/**
 * Every depth mark.
 */
marks: Array<Mark>, 
/**
 * What the last trace found too fine to saw.
 */
swallowed: Array<Swallowed>, 
/**
 * Lines that part nothing, in the order in which edits count them.
 */
lines: Array<LineSeen>, 
/**
 * Every board.
 */
boards: Array<BoardSeen>, 
/**
 * Where pieces lie, by piece.
 */
lies: Array<Lying>, 
/**
 * What is still to be bought.
 */
missing: Array<MissingSeen>, 
/**
 * What the last check found; `None` while the first is under way.
 */
findings: Array<Finding> | null, };

/**
 * What is settled for the job as a whole.
 */
export type Setup = { 
/**
 * The work's title.
 */
title: string, 
/**
 * The unit that lengths are shown in.
 */
unit: Unit, 
/**
 * Width and height.
 */
panel: Size, 
/**
 * What the pieces are sawn from, and the limits that follow.
 */
stock: Stock, 
/**
 * A hair, a step and a lot between pieces.
 */
steps: [Um, Um, Um], 
/**
 * How pieces are laid on boards.
 */
laying: Laying, 
/**
 * How pieces are fitted to neighbours, where they are not sawn on their shared line.
 */
fits: Array<FitSeen>, 
/**
 * Spare wood that they are sawn with there.
 */
spare: Um, 
/**
 * Wished: at most so many planer settings.
 */
planer_settings: number | null, 
/**
 * From where the work is looked at.
 */
reading: Reading | null, 
/**
 * Depth of the frame before the backer's face.
 */
frame_depth: Um | null, 
/**
 * The frame's moulding.
 */
frame: Frame | null, 
/**
 * The veneer of the board behind the ground.
 */
ground: WoodId | null, 
/**
 * How the picture was, or will be, traced.
 */
trace: TraceChoices, 
/**
 * At most this many woods.
 */
woods_most: number, 
/**
 * The wood of the backer's face.
 */
backer: WoodId, 
/**
 * The backer's colour under the finish, `#rrggbb`.
 */
backer_look: string | null, 
/**
 * The finish, by its key.
 */
finish: string, 
/**
 * The finishes that there are: key and name.
 */
finishes: Array<[string, string]>, 
/**
 * Strokes of grain as they were drawn, µm.
 */
strokes: Array<Array<Point>>, 
/**
 * The picture and its papers.
 */
picture: PictureRef | null, 
/**
 * Whether a pattern was accepted.
 */
accepted: boolean, };

/**
 * A change of the settings.
 */
export type SetupEdit = { "title": string } | { "panel": Size } | { "unit": Unit } | { "stock": Stock } | { "woods_most": number } | { "tones": number } | { "backer": WoodId } | { "finish": string } | { "saw": Saw } | { "step": Um } | { "planer_settings": number | null } | { "reading": Reading | null } | { "frame_depth": Um | null } | { "frame": Frame | null } | { "ground": WoodId | null } | { "mount": Mount } | { "per_tone": { 
/**
 * How many.
 */
woods: number, 
/**
 * The least difference.
 */
least: number, 
/**
 * The greatest.
 */
greatest: number, } } | { "on_hand": { 
/**
 * The wood.
 */
wood: WoodId, 
/**
 * How much.
 */
mm2: number | null, } } | { "only_on_hand": boolean } | { "price": { 
/**
 * The wood.
 */
wood: WoodId, 
/**
 * How much.
 */
per_dm2: number | null, } } | { "fit_finish": { 
/**
 * What the maker calls it.
 */
name: string, 
/**
 * The raw sample.
 */
raw: Lab, 
/**
 * The finished one.
 */
finished: Lab, } };

/**
 * `POST /api/sheets`: the pattern book.
 */
export type SheetsFor = { 
/**
 * The paper: `a5` to `a0`, `letter`, `legal`, `tabloid`.
 */
paper: string, 
/**
 * Only these kinds of page; the whole book when empty.
 */
only: Array<string>, 
/**
 * Only this part and those within it, by name.
 */
part?: string, 
/**
 * Only this piece.
 */
piece?: Number, 
/**
 * Any number of pages is agreed to.
 */
many: boolean, };

/**
 * What the maker says of the photograph. Places are shares of its width and height, from its top left corner.
 */
export type Shot = { 
/**
 * The corners of the board, clockwise as seen; the first two are the ends of a long edge, or of the stated length.
 */
corners: [[number, number], [number, number], [number, number], [number, number]], 
/**
 * Four corners of a patch of the paper or card, clockwise; it lies in the plane of the board's face.
 */
white: [[number, number], [number, number], [number, number], [number, number]], 
/**
 * The share of the light that the paper or card gives back.
 */
reflects: number, 
/**
 * From the first corner to the second.
 */
length: Um, 
/**
 * From the second corner to the third, where it is known.
 */
width: Um | null, 
/**
 * As it is now.
 */
thickness: Um, 
/**
 * What the maker calls the board.
 */
name: string, 
/**
 * Its wood.
 */
wood: WoodId, };

/**
 * Width and height.
 */
export type Size = { 
/**
 * Across.
 */
width: Um, 
/**
 * Down.
 */
height: Um, };

/**
 * Where something is.
 */
export type Spot = { 
/**
 * Pieces.
 */
pieces?: Array<Number>, 
/**
 * Areas.
 */
areas?: Array<AreaId>, 
/**
 * Borders.
 */
borders?: Array<BorderId>, 
/**
 * Relations.
 */
relations?: Array<RelationId>, 
/**
 * Woods.
 */
woods?: Array<WoodId>, 
/**
 * Boards.
 */
boards?: Array<BoardId>, 
/**
 * A place on the pattern, µm.
 */
at?: Point, };

/**
 * A long act has begun; `act` and `act_ended` events tell of it.
 */
export type Started = { 
/**
 * Its id.
 */
act: number, };

/**
 * How far a piece is.
 */
export type State = "planned" | "cut" | "shaped" | "set";

/**
 * What the pieces are sawn from, and the limits that follow from it; each may be changed.
 */
export type Stock = { 
/**
 * Which kind it began as.
 */
kind: StockKind, 
/**
 * Thicknesses that can be had, ascending.
 */
thicknesses: Array<Um>, 
/**
 * Raisers that can be had, ascending, 0 for none first.
 */
raisers: Array<Um>, 
/**
 * A piece's widest inscribed circle is at least this wide.
 */
least_width: Um, 
/**
 * A piece is at least this large, mm².
 */
least_area_mm2: number, 
/**
 * The least step that reads as one.
 */
readable_step: Um, 
/**
 * The lowest top above the backer.
 */
lowest: Um, 
/**
 * The highest top above the backer.
 */
highest: Um, };

/**
 * A change of the boards or of the layout.
 */
export type StockEdit = { "put": Board } | { "put_size": { 
/**
 * What the maker calls it.
 */
name: string, 
/**
 * Its wood, by key.
 */
wood: string, 
/**
 * Length along the grain, width, thickness.
 */
size: [Um, Um, Um], } } | { "away": BoardId } | { "price": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * How much.
 */
price: number | null, } } | { "fault": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * A closed line around it.
 */
around: Array<Point>, } } | { "unfault": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * Which.
 */
fault: number, } } | { "zone": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * What the maker calls it.
 */
name: string, 
/**
 * A closed line around it, on the board.
 */
around: Array<Point>, 
/**
 * Kept for pieces that are pinned there.
 */
keep: boolean, } } | { "unzone": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * Which.
 */
zone: number, } } | { "pin": { 
/**
 * The piece.
 */
piece: Number, 
/**
 * Where.
 */
lie: Lie, } } | { "unpin": Number } | { "cut": Array<Number> } | { "uncut": Number } | { "crosscut": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * How far along x.
 */
at: Um, } } | { "resaw": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * How thick it becomes.
 */
to: Um, } } | { "agree": { 
/**
 * The board.
 */
board: BoardId, 
/**
 * Its number in the shop.
 */
shop: BoardId, 
/**
 * The board as the shop has it.
 */
of: Board, } } | { "laying": Laying };

/**
 * Thin plates, thick stock, or a list of the maker's own.
 */
export type StockKind = "thin" | "thick" | "list";

/**
 * `POST /api/act/stop`.
 */
export type Stop = { 
/**
 * The act.
 */
act: number, };

/**
 * How strongly a relation holds.
 */
export type Strength = "must" | { "wish": number };

/**
 * A round of marks over the picture: strokes on the panel, µm.
 */
export type SubjectMarks = { 
/**
 * Over what is subject.
 */
keep: Array<Array<Point>>, 
/**
 * Over what is ground; all that it shuts off from what is kept is ground as well.
 */
drop: Array<Array<Point>>, };

/**
 * Something in the picture that was too fine to saw.
 */
export type Swallowed = { 
/**
 * Where it was, mm.
 */
at_mm: [number, number], 
/**
 * Its widest inscribed circle.
 */
widest: Um, 
/**
 * Its area, mm².
 */
area_mm2: number, };

/**
 * The finished colour of a test piece.
 */
export type TestColour = { 
/**
 * Its wood.
 */
wood: WoodId, 
/**
 * `#rrggbb`.
 */
colour: string, 
/**
 * L*, a* and b*, thousandths.
 */
lab: [number, number, number], 
/**
 * ΔE00 from what the job has of that wood under its finish.
 */
off: number, };

/**
 * `POST /api/woods/test`: what a photograph shows of finished test pieces.
 */
export type TestLook = { 
/**
 * The pieces, in the order that they were marked.
 */
pieces: Array<TestColour>, };

/**
 * Two woods to lay side by side under the finish.
 */
export type TestPair = { 
/**
 * The woods.
 */
woods: [WoodId, WoodId], 
/**
 * Coats of the job's finish.
 */
coats: number, 
/**
 * Touching pieces that hang on the answer.
 */
pieces: Array<[Number, Number]>, 
/**
 * Length of their borders, mm.
 */
border_mm: number, 
/**
 * ΔE00 by what is known.
 */
difference: number, };

/**
 * A test piece in a photograph.
 */
export type TestPiece = { 
/**
 * Its wood.
 */
wood: WoodId, 
/**
 * Four corners of a plain part of its face, clockwise.
 */
corners: [[number, number], [number, number], [number, number], [number, number]], };

/**
 * A photograph of finished test pieces. Places are shares of its width and height, from its top left corner.
 */
export type TestShot = { 
/**
 * Four corners of a patch of the paper or card, clockwise.
 */
white: [[number, number], [number, number], [number, number], [number, number]], 
/**
 * The share of the light that the paper or card gives back.
 */
reflects: number, 
/**
 * The pieces.
 */
pieces: Array<TestPiece>, };

/**
 * Seconds that go to a piece beside sawing along its line.
 */
export type Times = { 
/**
 * Beginning a piece at the blade.
 */
start: number, 
/**
 * Drilling a hole and threading the blade through it.
 */
hole: number, 
/**
 * Pattern on, number under it, burr off.
 */
handle: number, 
/**
 * Fitting along 100 mm of border.
 */
fit: number, 
/**
 * Glue on, set, held.
 */
glue: number, };

/**
 * A tone of the picture.
 */
export type Tone = { 
/**
 * A plain colour word.
 */
name: string, 
/**
 * Its colour in the picture, `#rrggbb`.
 */
colour: string, 
/**
 * Its share of all that is not ground.
 */
share: number, 
/**
 * The pieces of which it makes up the most.
 */
pieces: Array<Number>, };

/**
 * `GET /api/tones`: the picture's colours, gathered.
 */
export type Tones = { 
/**
 * The tones.
 */
tones: Array<Tone>, };

/**
 * How the picture is traced.
 */
export type TraceChoices = { 
/**
 * About this many pieces.
 */
pieces: number, 
/**
 * What becomes of a plain ground.
 */
ground: GroundChoice, 
/**
 * What becomes of drawn lines.
 */
ink: InkChoice, 
/**
 * Breaks in drawn lines up to this wide are bridged, between ends that face each other.
 */
bridge?: Um, 
/**
 * Parts whose strokes stay open, or close, whatever becomes of the others.
 */
open_parts?: { [key in PartId]: boolean }, 
/**
 * Where there are to be more pieces, or fewer.
 */
places: Array<Place>, 
/**
 * What is stroked to be kept or dropped, round by round; without any the ground is found as `ground` has it.
 */
subject?: Array<SubjectMarks>, 
/**
 * The drawing on paper that is traced in the place of a picture.
 */
paper?: OnPaper, };

/**
 * The body of every answer that is no success: 409 when `stale`, 422 when the workshop or the file refused.
 */
export type Trouble = { 
/**
 * What cannot be and why, in the maker's words.
 */
what: string, 
/**
 * Where.
 */
where: Spot, 
/**
 * What to do instead.
 */
ways: Array<Way>, 
/**
 * The page showed an older state: fetch `/api/seen` and try again.
 */
stale: boolean, };

/**
 * A length in whole micrometres.
 */
export type Um = number;

/**
 * The unit that lengths are shown in; they are stored in µm either way.
 */
export type Unit = "mm" | "inch";

/**
 * A place that was cut out of a board.
 */
export type Used = { 
/**
 * The piece that was cut from it; 0 where it was a piece of another job.
 */
piece: Number, 
/**
 * Where: its outer ring.
 */
ring: Array<Point>, };

/**
 * A variant of a part.
 */
export type VariantId = number;

/**
 * A way out: words, and the edits that do it.
 */
export type Way = { 
/**
 * What it does, in the maker's words.
 */
says: string, 
/**
 * The edits; empty when it is something to do outside spelk.
 */
edits: Array<Edit>, };

/**
 * A piece, every piece of a part, or an anchor: what stands fixed, so that pieces can be said to stand to it.
 */
export type Whom = { "piece": Number } | { "part": PartId } | "backer" | "frame";

/**
 * `POST /api/within`: a lasso.
 */
export type Within = { 
/**
 * Its corners, mm.
 */
polygon_mm: Array<[number, number]>, 
/**
 * Only areas that lie in it whole; else those whose middle does.
 */
whole: boolean, };

/**
 * A wood that the job may use.
 */
export type Wood = { 
/**
 * Its key.
 */
key: WoodId, 
/**
 * Its name in the trade.
 */
name: string, 
/**
 * Its Latin name.
 */
latin: string, 
/**
 * Its short code on sheets.
 */
code: string, 
/**
 * Its raw colour, `#rrggbb`.
 */
raw: string, 
/**
 * Its colour under the finish, `#rrggbb`.
 */
finished: string, 
/**
 * The same after 1, 2, 5, 10 and 20 years on a wall.
 */
after: Array<string>, 
/**
 * Whether its colour was measured.
 */
measured: boolean, 
/**
 * What its dust or splinters are known to do; `None` is missing data, not a clean bill.
 */
hazard: string | null, 
/**
 * Trade protection.
 */
protected: string | null, };

/**
 * A change of woods or grain.
 */
export type WoodEdit = { "choose": { 
/**
 * For whom.
 */
whom: Whom, 
/**
 * The wood.
 */
wood: WoodId, } } | { "unchoose": Whom } | { "grain": { 
/**
 * For whom.
 */
whom: Whom, 
/**
 * The direction.
 */
axis: Axis, } } | { "stroke": Array<Point> } | { "unstroke": number } | { "ungrain": Whom } | { "measured": { 
/**
 * The wood.
 */
wood: WoodId, 
/**
 * L*, a* and b*, thousandths.
 */
lab: [number, number, number], 
/**
 * What it was measured on.
 */
from: string, } } | { "tested": { 
/**
 * The wood.
 */
wood: WoodId, 
/**
 * Finished L*, a* and b*, thousandths.
 */
lab: [number, number, number], 
/**
 * Coats of the finish.
 */
coats: number, 
/**
 * By whom and when.
 */
from: string, } };

/**
 * A wood by its key in the table, such as `walnut-black`.
 */
export type WoodId = string;

/**
 * A piece's wood and who chose it.
 */
export type WoodOf = { 
/**
 * The wood.
 */
value: WoodId, 
/**
 * Who chose it.
 */
by: By, };

/**
 * A place on a board with a colour of its own, such as sapwood or a streak.
 */
export type Zone = { 
/**
 * What the maker calls it.
 */
name: string, 
/**
 * Its edge.
 */
outline: Array<Point>, 
/**
 * Kept for pieces that are pinned there by hand.
 */
keep: boolean, };

/**
 * A zone of a board.
 */
export type ZoneSeen = { 
/**
 * What the maker calls it.
 */
name: string, 
/**
 * Whether it is kept for pieces that are pinned there.
 */
keep: boolean, 
/**
 * The box around it: left, top, width and height, mm.
 */
box_mm: [number, number, number, number], };
