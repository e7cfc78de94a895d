// A server in memory for the tests of `state`: enough of a job to merge, undo and lose a message.

import { type Door, type Heard, Refused, Stranger, Unreached } from "../state/door";
import type { Area, Delta, Draft, Edit, Piece, Seen } from "../state/wire";

export function area(id: number, x: number, y: number): Area {
  const label = { x_mm: x, y_mm: y, r_mm: 4 };
  return {
    id,
    becomes: "piece",
    number: id,
    d: `M${x} ${y}h9v9h-9z`,
    label,
    area_mm2: 81,
    stays: null,
    picture: "#aa8866",
    wood: null,
    look: null,
  };
}

export function piece(number: number): Piece {
  return {
    number,
    area: number,
    part: null,
    wood: null,
    grain_deg: null,
    grain_by: null,
    height: null,
    thickness: null,
    raiser: null,
    widest: 9000,
    area_mm2: 81,
    state: "planned",
    logged: [],
  };
}

/** A row of three pieces, 1 to 3, from left to right. */
export function seen(revision = 1, step = 1): Seen {
  return {
    revision,
    step,
    path: "job.spelk",
    undo: null,
    redo: null,
    setup: {
      title: "Row",
      unit: "mm",
      panel: { width: 30_000, height: 10_000 },
      stock: {
        kind: "thick",
        thicknesses: [12_000],
        raisers: [0],
        least_width: 4000,
        least_area_mm2: 25,
        readable_step: 1500,
        lowest: 12_000,
        highest: 45_000,
      },
      steps: [1500, 3000, 6000],
      planer_settings: null,
      reading: null,
      frame_depth: null,
      frame: null,
      ground: null,
      trace: { pieces: 3, ground: "drop" },
      woods_most: 9,
      backer: "walnut",
      backer_look: null,
      finish: "wax",
      finishes: [],
      strokes: [],
      picture: null,
      accepted: true,
    },
    areas: [area(1, 5, 5), area(2, 15, 5), area(3, 25, 5)],
    borders: [
      { id: 1, left: 1, right: 2, d: "M10 0v10", gap: 0 },
      { id: 2, left: 2, right: 3, d: "M20 0v10", gap: 0 },
      { id: 3, left: 1, right: null, d: "M0 0v10", gap: 0 },
    ],
    pieces: [piece(1), piece(2), piece(3)],
    parts: [],
    woods: [],
    relations: [],
    marks: [],
    swallowed: [],
    lines: [],
    boards: [],
    lies: [],
    missing: [],
    findings: [],
  } as unknown as Seen;
}

export function delta(from: number, more: Partial<Delta>): Delta {
  return {
    from,
    revision: from + 1,
    step: from + 1,
    undo: null,
    redo: null,
    setup: null,
    areas: [],
    gone_areas: [],
    borders: [],
    gone_borders: [],
    pieces: [],
    gone_pieces: [],
    parts: null,
    woods: null,
    relations: null,
    marks: null,
    swallowed: null,
    lines: null,
    boards: null,
    lies: [],
    gone_lies: [],
    missing: null,
    told: [],
    ...more,
  };
}

export class Fake implements Door {
  heard: Heard | null = null;
  now = seen();
  away = false;
  stale = false;
  /** So many edits fail on their way. */
  failing = 0;
  /** What the server answers to a cookie that it does not know. */
  stranger = false;
  /** What came of relations with the next edits. */
  told: string[] = [];
  /** The job on its table. */
  job: string | null = "job.spelk";
  opened: string[] = [];
  readonly stopped: number[] = [];
  readonly sent: { at: number; edits: readonly Edit[] }[] = [];
  fetched = 0;
  readonly drafts: { pieces: number; fitted: boolean; answer: (draft: Draft) => void; stop: AbortSignal }[] =
    [];

  private answer<T>(value: T): Promise<T> {
    if (this.stranger) return Promise.reject(new Stranger());
    return this.away ? Promise.reject(new Unreached()) : Promise.resolve(value);
  }
  desk() {
    return this.answer({ job: this.job, recent: [], folder: ".", version: "test" });
  }
  seen() {
    this.fetched += 1;
    return this.answer(this.now);
  }
  start() {
    return this.seen();
  }
  lookAtBoard() {
    return Promise.reject(new Refused({ what: "no white", where: {}, ways: [], stale: false }));
  }
  judged() {
    return this.answer({ tests: [], backers: [], grounds: [] });
  }
  sawn() {
    return this.answer({ blades: [], pieces: [] });
  }
  shown() {
    return this.answer(new Blob());
  }
  lookAtTest() {
    return Promise.reject(new Refused({ what: "no white", where: {}, ways: [], stale: false }));
  }
  mask(at: number) {
    return this.answer(delta(at, {}));
  }
  putBoard(at: number) {
    return this.answer(delta(at, {}));
  }
  demo() {
    return this.seen();
  }
  open(path: string) {
    this.opened.push(path);
    this.job = path;
    return this.seen();
  }
  async edit(at: number, edits: readonly Edit[]) {
    if (this.away || this.failing-- > 0) throw new Unreached();
    if (this.stale || at !== this.now.revision)
      throw new Refused({ what: "stale", where: {}, ways: [], stale: true });
    this.sent.push({ at, edits });
    const done = delta(at, {
      undo: "merging pieces",
      gone_areas: [2],
      gone_pieces: [2],
      areas: [area(1, 10, 5)],
      told: this.told,
    });
    this.now = { ...this.now, revision: done.revision, step: done.step };
    return done;
  }
  undo(at: number) {
    return this.answer(
      delta(at, { redo: "merging pieces", areas: [area(1, 5, 5), area(2, 15, 5)], pieces: [piece(2)] }),
    );
  }
  redo(at: number) {
    return this.answer(delta(at, {}));
  }
  draft(pieces: number, fitted: boolean, stop: AbortSignal) {
    return new Promise<Draft>((answer) => this.drafts.push({ pieces, fitted, answer, stop }));
  }
  accept() {
    return this.answer({ act: 1 });
  }
  ask() {
    return this.answer({ act: 2 });
  }
  stop(act: number) {
    this.stopped.push(act);
    return this.answer(undefined);
  }
  offers() {
    return Promise.resolve({ woods: [] });
  }

  tones() {
    return Promise.resolve({ tones: [] });
  }

  section() {
    return Promise.resolve({ stretches: [] });
  }

  within() {
    return this.answer({ areas: [1, 2] });
  }
  sheets() {
    return this.answer({ act: 3 });
  }
  made() {
    return this.answer(["pattern-book-a4-prints.pdf"]);
  }
  listen(heard: Heard) {
    this.heard = heard;
    return () => {
      this.heard = null;
    };
  }
}
