// Made from crates/studio/src/wire by `cargo xtask wire`; do not change by hand.

export type By = "act" | "hand" | "fact";
export type Unit = "mm" | "inch";
export type State = "planned" | "cut" | "shaped" | "set";
export type Grave = "grave" | "doubt" | "note";
export type Depth = "far" | "middle" | "near";
export type Whom = { piece: number } | { part: number };
export type Strength = "must" | { wish: number };
export type Says =
  | { at_least: { above: Whom; below: Whom; by: number } }
  | { about: { above: Whom; below: Whom; by: number } }
  | { level: [Whom, Whom] }
  | { at: [Whom, number] }
  | { within: [Whom, number, number] }
  | { climbs: { row: Whom[]; from: number; to: number } };
export type Size = { width: number; height: number };
export type Stock = {
  kind: "thin" | "thick" | "list"; thicknesses: number[]; raisers: number[]; least_width: number;
  least_area_mm2: number; readable_step: number; lowest: number; highest: number;
};
export type GroundChoice = "drop" | "keep";
export type TraceChoices = { pieces: number; ground: GroundChoice };
export type PictureRef = { hash: string; width: number; height: number; author: string; source: string; permission: string };
export type Kind = "too_thin" | "too_small" | "island" | "swallowed" | "low_contrast" | "unsure_colour" | "too_many_woods" | "hazard" | "protected" | "no_way" | "unmet" | "off_stock" | "unreadable_step" | "empty_part";
export type Ask = { trace: TraceChoices } | "choose_woods" | "work_out_heights";
export type Spot = { pieces: number[]; areas: number[]; borders: number[]; relations: number[]; woods: string[]; at?: [number, number] };
export type Edit = Record<string, unknown>;
export type Way = { says: string; edits: Edit[] };
export type Desk = { job: string | null; recent: Recent[]; folder: string; version: string };
export type Recent = { path: string; title: string; when: number };
export type Trouble = { what: string; where: Spot; ways: Way[]; stale: boolean };
export type Asking = {
  title: string; width: string; stock: string; keep_all: boolean; woods?: number; author: string; source: string;
  permission: string; folder?: string;
};
export type Draft = { pieces: number; areas: DraftArea[]; line_d: string };
export type DraftArea = { d: string; picture: string | null };
export type Started = { act: number };
export type Chosen = { areas: number[] };
export type SheetsFor = { paper: string; only: string[]; part?: string; piece?: number; many: boolean };
export type Hello = { revision: number | null };
export type ActTold = { id: number; name: string; done: number; text: string };
export type ActEnded = { id: number; name: string; ok: boolean; refusal: Trouble | null };
export type Found = { revision: number; findings: Finding[] };
export type Seen = {
  revision: number; path: string; undo: string | null; redo: string | null; setup: Setup; areas: Area[]; borders: Border[];
  pieces: Piece[]; parts: Part[]; woods: Wood[]; relations: Relation[]; marks: Mark[]; swallowed: Swallowed[];
  findings: Finding[] | null;
};
export type Setup = {
  title: string; unit: Unit; panel: Size; stock: Stock; trace: TraceChoices; woods_most: number; backer: string;
  backer_look: string | null; finish: string; finishes: [string, string][]; picture: PictureRef | null; accepted: boolean;
};
export type Area = {
  id: number; becomes: "piece" | "shadow" | "ground"; number: number | null; d: string; label: Label | null;
  area_mm2: number; picture: string | null; wood: string | null; look: string | null;
};
export type Label = { x_mm: number; y_mm: number; r_mm: number };
export type Border = { id: number; left: number | null; right: number | null; d: string; gap: number };
export type Piece = {
  number: number; area: number; part: number | null; wood: WoodOf | null; grain_deg: number | null; grain_by: By | null;
  height: PieceLength | null; thickness: PieceLength | null; raiser: PieceLength | null; widest: number;
  area_mm2: number; state: State;
};
export type WoodOf = { value: string; by: By };
export type PieceLength = { value: number; by: By };
export type Part = { id: number; name: string; within: number | null; pieces: number[] };
export type Wood = {
  key: string; name: string; latin: string; code: string; raw: string; finished: string; measured: boolean;
  hazard: string | null; protected: string | null;
};
export type Relation = { id: number; says: Says; words: string; strength: Strength; by: By };
export type Mark = { whom: Whom; depth: Depth };
export type Swallowed = { at_mm: [number, number]; widest: number; area_mm2: number };
export type Finding = {
  key: string; kind: Kind; grave: Grave; what: string; why: string; at_mm: [number, number][]; areas: number[];
  borders: number[]; pieces: number[]; relations: number[]; ways: Way[];
};
export type Delta = {
  from: number; revision: number; undo: string | null; redo: string | null; setup: Setup | null; areas: Area[];
  gone_areas: number[]; borders: Border[]; gone_borders: number[]; pieces: Piece[]; gone_pieces: number[];
  parts: Part[] | null; woods: Wood[] | null; relations: Relation[] | null; marks: Mark[] | null;
  swallowed: Swallowed[] | null;
};
