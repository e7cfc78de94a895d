// The pages' memory: what is open, what is under way, what was said. One door out, no document object.

import { batch, computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Acts } from "./acts";
import { type Door, Refused, Stranger, Unreached } from "./door";
import { type Model, modelOf, withDelta } from "./model";
import { Picking } from "./picking";
import { fileSaid, type Made } from "./sheets";
import type {
  ActEnded,
  ActTold,
  Ask,
  Asking,
  BoardLook,
  Delta,
  Desk,
  Draft,
  Edit,
  Found,
  Hello,
  Judged,
  Offer,
  Sawn,
  SectionStretch,
  Seen,
  SheetsFor,
  Shot,
  TestLook,
  TestShot,
  Tone,
  Trouble,
} from "./wire";

/** Whether the server answers. `stranger`: it does, but this window belongs to an earlier start. */
export type Link = "live" | "lost" | "stranger";

/** Something to tell the maker. */
export interface Said {
  readonly what: string;
  readonly grave: boolean;
  readonly trouble?: Trouble;
  /** An offer that stays until the maker takes it or puts it away. */
  readonly stays?: boolean;
  /** The step that was taken, of the job's history: undo is offered while it is the last. */
  readonly undoes?: number | undefined;
}

/** A step that the server did not answer. */
interface Unanswered {
  /** What to send again; null for an undo or redo, which would take back something else now. */
  readonly edits: readonly Edit[] | null;
  /** Where the job stood when it was sent; null when it was not sent at all. */
  readonly on: number | null;
}

/** A slider rests when it has not moved for so long. Less fits borders that nobody waits for, more shows them late. */
const REST_MS = 350;

export class Studio {
  readonly link: Signal<Link> = signal("live");
  readonly desk: Signal<Desk | null> = signal(null);
  readonly model: Signal<Model | null> = signal(null);
  readonly draft: Signal<Draft | null> = signal(null);
  /** The number of pieces on the slider; null while it rests at what the job says. */
  readonly wanted: Signal<number | null> = signal(null);
  /** Whether the draft that is wished for is still being drawn: the one shown, if any, is of an earlier wish. */
  readonly drawing: Signal<boolean> = signal(false);
  readonly said: Signal<Said | null> = signal(null);
  /** The sheets that were made last of this job. */
  readonly made: Signal<Made | null> = signal(null);
  /** Requests on their way that change the job. */
  readonly sending: Signal<number> = signal(0);
  readonly acts: Acts;
  readonly picking: Picking;
  readonly findingsOf: Signal<number> = signal(0);
  /** True while the findings shown belong to an earlier state than the pattern shown. */
  readonly checking: ReadonlySignal<boolean>;

  private line: Promise<unknown> = Promise.resolve();
  private drafting: AbortController | null = null;
  private fetching: Promise<void> | null = null;
  private unanswered: Unanswered[] = [];
  private missed = false;
  /** The state that the sheets asked for last are of. */
  private sheetsOf = 0;

  constructor(private readonly door: Door) {
    this.acts = new Acts();
    this.picking = new Picking(this.model);
    this.checking = computed(() => {
      const model = this.model.value;
      return (
        model?.setup.accepted === true && (model.findings === null || this.findingsOf.value < model.revision)
      );
    });
  }

  /** Fetches what lies on the desk and listens from then on. */
  async begin(): Promise<() => void> {
    const end = this.door.listen({ event: (name, data) => this.heard(name, data), lost: () => this.broke() });
    await this.fetchAll();
    return end;
  }

  async start(picture: Blob, name: string, asking: Asking, mask?: File): Promise<boolean> {
    return this.opens(() => this.door.start(picture, name, asking, mask));
  }

  /** What a photograph shows of a board; null when that was refused, which is then said. */
  async lookAtBoard(photo: Blob, name: string, shot: Shot): Promise<BoardLook | null> {
    try {
      return await this.door.lookAtBoard(photo, name, shot);
    } catch (error) {
      this.failed(error);
      return null;
    }
  }

  /** A photograph as every browser shows it; null when it cannot be read, which is then said. */
  async shown(photo: Blob, name: string): Promise<Blob | null> {
    try {
      return await this.door.shown(photo, name);
    } catch (error) {
      this.failed(error);
      return null;
    }
  }

  /** Lays a mask over the picture; null takes it away. */
  mask(mask: File | null): Promise<boolean> {
    return this.changes((at) => this.door.mask(at, mask));
  }

  putBoard(ownColour: boolean): Promise<boolean> {
    return this.changes((at) => this.door.putBoard(at, ownColour));
  }

  async demo(): Promise<boolean> {
    return this.opens(() => this.door.demo());
  }

  async open(path: string): Promise<boolean> {
    return this.opens(() => this.door.open(path));
  }

  /** Edits, all or none. True once the server has them on disk. */
  edit(...edits: Edit[]): Promise<boolean> {
    return this.changes((at) => this.door.edit(at, edits), edits);
  }

  undo(): Promise<boolean> {
    return this.model.value?.undo == null ? Promise.resolve(false) : this.changes((at) => this.door.undo(at));
  }

  redo(): Promise<boolean> {
    return this.model.value?.redo == null ? Promise.resolve(false) : this.changes((at) => this.door.redo(at));
  }

  /**
   * Shows a draft of about this many pieces at once, and once the wish has rested the one that accepting would take. A later
   * wish overtakes an earlier one.
   */
  async wish(pieces: number): Promise<void> {
    batch(() => {
      this.wanted.value = pieces;
      this.drawing.value = true;
    });
    this.drafting?.abort();
    const mine = new AbortController();
    this.drafting = mine;
    try {
      for (const fitted of [false, true]) {
        if (fitted) await new Promise((rested) => setTimeout(rested, REST_MS));
        if (mine.signal.aborted) return;
        const draft = await this.door.draft(pieces, fitted, mine.signal);
        if (mine.signal.aborted) return;
        batch(() => {
          this.draft.value = draft;
          this.drawing.value = false;
        });
      }
    } catch (error) {
      if (mine.signal.aborted) return;
      this.unwish();
      this.failed(error);
    }
  }

  /** Leaves the draft; the pattern is as it was. */
  unwish(): void {
    this.drafting?.abort();
    batch(() => {
      this.draft.value = null;
      this.wanted.value = null;
      this.drawing.value = false;
    });
  }

  accept(): Promise<boolean> {
    const pieces = this.wanted.value ?? this.model.value?.setup.trace.pieces;
    return pieces === undefined
      ? Promise.resolve(false)
      : this.acted("trace", () => this.door.accept(pieces));
  }

  ask(ask: Exclude<Ask, { trace: unknown }>): Promise<boolean> {
    // An act with settings goes by its first word.
    const name = typeof ask === "string" ? ask : (Object.keys(ask)[0] ?? "");
    return this.acted(name, () => this.door.ask(ask));
  }

  /** The pattern book goes before the lit picture, which would keep it waiting. */
  async sheets(asked: SheetsFor): Promise<boolean> {
    const lit = this.acts.running.value.filter((act) => act.name === "view");
    await Promise.all(lit.map((act) => this.stop(act.id)));
    this.sheetsOf = this.model.value?.revision ?? 0;
    return this.acted("sheets", () => this.door.sheets(asked));
  }

  async stop(act: number): Promise<void> {
    await this.door.stop(act).catch((error: unknown) => this.failed(error));
  }

  async within(polygon: [number, number][]): Promise<number[]> {
    try {
      return (await this.door.within(polygon)).areas;
    } catch (error) {
      this.failed(error);
      return [];
    }
  }

  /** Woods that come near some pieces, the best first. */
  async offers(pieces: readonly number[]): Promise<readonly Offer[]> {
    try {
      return (await this.door.offers(pieces)).woods;
    } catch (error) {
      this.failed(error);
      return [];
    }
  }

  /** The picture's colours, gathered. */
  async tones(): Promise<readonly Tone[]> {
    try {
      return (await this.door.tones()).tones;
    } catch (error) {
      this.failed(error);
      return [];
    }
  }

  /** What the woods as they are chosen leave open; null when that was refused. */
  async judged(): Promise<Judged | null> {
    try {
      return await this.door.judged();
    } catch (error) {
      this.failed(error);
      return null;
    }
  }

  /** A blade for each piece; null when that was refused. */
  async sawn(): Promise<Sawn | null> {
    try {
      return await this.door.sawn();
    } catch (error) {
      this.failed(error);
      return null;
    }
  }

  /** What a photograph shows of finished test pieces; null when that was refused, which is then said. */
  async lookAtTest(photo: Blob, name: string, shot: TestShot): Promise<TestLook | null> {
    try {
      return await this.door.lookAtTest(photo, name, shot);
    } catch (error) {
      this.failed(error);
      return null;
    }
  }

  /** What a drawn line runs over, in its order. */
  async section(line: [number, number][]): Promise<readonly SectionStretch[]> {
    try {
      return (await this.door.section(line)).stretches;
    } catch (error) {
      this.failed(error);
      return [];
    }
  }

  /** Puts a refusal away, for the maker goes on to something else; whether there was one. */
  hush(): boolean {
    const said = this.said.value;
    if (said === null || !said.grave || said.stays) return false;
    this.said.value = null;
    return true;
  }

  tell(what: string): void {
    this.said.value = { what, grave: false };
  }

  /** Says what was just done, with undo beside it. */
  tellDone(what: string): void {
    this.said.value = { what, grave: false, undoes: this.model.peek()?.step };
  }

  private async opens(fetch: () => Promise<Seen>): Promise<boolean> {
    const opened = await this.guarded(async () => {
      this.show(await fetch());
      this.desk.value = await this.door.desk();
    });
    // A job that is gone from its place is gone from the list, too.
    if (!opened && this.link.value === "live") await this.fetchAll();
    return opened;
  }

  /** One change after the other, each upon the state that the one before left. */
  private changes(
    send: (at: number) => Promise<Delta>,
    edits: readonly Edit[] | null = null,
  ): Promise<boolean> {
    const turn = this.line.then(async () => {
      const done = await this.guarded(async () => {
        const model = this.model.value;
        if (!model) return;
        // What came before it is not answered yet: it would be made in another order.
        if (this.unanswered.length > 0) return this.waits({ edits, on: null });
        try {
          const delta = await send(model.revision);
          this.take(delta);
          // Who says a relation sees it in its list; what goes with something else is told.
          const besides = edits?.some((edit) => !("relief" in edit)) ?? false;
          if (besides && delta.told.length > 0) this.tell(delta.told.join(" "));
        } catch (error) {
          if (!(error instanceof Unreached)) throw error;
          this.waits({ edits, on: model.step });
        }
      });
      if (!done) this.showAnew();
      return done;
    });
    // A fault in one step keeps no later step from its turn.
    this.line = turn.catch(() => undefined);
    return turn;
  }

  /** What was asked for is not so: every control shows again what is. */
  private showAnew(): void {
    if (this.model.value) this.model.value = { ...this.model.value };
  }

  private waits(step: Unanswered): never {
    this.unanswered.push(step);
    throw new Unreached();
  }

  /** Says what became of the steps that were not answered, and offers those again that were not kept. */
  private account(): void {
    const [first, ...later] = this.unanswered;
    this.unanswered = [];
    if (!first) return;
    const kept = first.on !== null && this.model.value?.step !== first.on;
    const open = kept ? later : [first, ...later];
    if (open.length === 0) {
      this.tell("spelk is back, and your last step was kept.");
      return;
    }
    const edits = open.flatMap((step) => step.edits ?? []);
    const what =
      open.length === 1 ? "Your last step was not kept" : `Your last ${open.length} steps were not kept`;
    const ways = edits.length > 0 ? [{ says: "Do it now", edits }] : [];
    this.said.value = {
      what: `spelk is back. ${what}: it was away.`,
      grave: true,
      trouble: { what, where: {}, ways, stale: false },
      stays: ways.length > 0,
    };
  }

  private async acted(name: string, begin: () => Promise<{ act: number }>): Promise<boolean> {
    return this.guarded(async () => {
      const { act } = await begin();
      this.acts.began(act, name);
    });
  }

  private async guarded(work: () => Promise<void>): Promise<boolean> {
    this.sending.value += 1;
    const before = this.said.value;
    try {
      await work();
      // What was said before something was done need not be read any more.
      if (before !== null && !before.stays && this.said.value === before) this.said.value = null;
      return true;
    } catch (error) {
      this.failed(error);
      return false;
    } finally {
      this.sending.value -= 1;
    }
  }

  private failed(error: unknown): void {
    if (error instanceof Unreached) this.lost();
    else if (error instanceof Stranger) this.link.value = "stranger";
    else if (error instanceof Refused) this.refused(error.trouble);
    else throw error;
  }

  private refused(trouble: Trouble): void {
    if (!trouble.stale) {
      this.said.value = { what: trouble.what, grave: true, trouble };
      return;
    }
    this.said.value = { what: trouble.what, grave: false, trouble };
    void this.fetchAll();
  }

  /** The stream of events broke off: what it told meanwhile is missed. */
  private broke(): void {
    this.missed = true;
    this.lost();
  }

  private lost(): void {
    if (this.link.value === "live") this.link.value = "lost";
    // A stream of events that breaks off does not tell whether nobody is there, or somebody who does not know this window.
    this.door.desk().then(
      () => this.fetchAll(),
      (error: unknown) => {
        if (error instanceof Stranger) this.link.value = "stranger";
        else if (this.link.value === "stranger") this.link.value = "lost";
      },
    );
  }

  private heard(name: string, data: unknown): void {
    if (name === "hello") this.greeted(data as Hello);
    else if (name === "resync") void this.fetchAll();
    else if (name === "delta") this.take(data as Delta);
    else if (name === "findings") this.found(data as Found);
    else if (name === "act") this.acts.told(data as ActTold);
    else if (name === "act_ended") this.ended(data as ActEnded);
  }

  private greeted(hello: Hello): void {
    const back = this.missed || this.link.value !== "live";
    this.missed = false;
    this.link.value = "live";
    if (back) this.acts.forget();
    if (back || hello.revision !== (this.model.value?.revision ?? null)) void this.fetchAll();
  }

  private ended(end: ActEnded): void {
    this.acts.ended(end);
    if (end.name === "sheets" && end.ok) void this.madeSheets();
    if (end.refusal)
      this.said.value = { what: end.refusal.what, grave: !end.ok && !end.stopped, trouble: end.refusal };
  }

  private async madeSheets(): Promise<void> {
    const revision = this.sheetsOf;
    try {
      const files = await this.door.made();
      this.made.value = { files, revision };
      this.tell(`Made: ${files.map(fileSaid).join("; ")}. Download on the page View, under “To download”.`);
    } catch (error) {
      this.failed(error);
    }
  }

  private found(found: Found): void {
    const model = this.model.value;
    if (!model || found.revision > model.revision) return;
    batch(() => {
      this.model.value = { ...model, findings: found.findings };
      this.findingsOf.value = found.revision;
    });
  }

  private take(delta: Delta): void {
    const model = this.model.value;
    if (!model) return;
    const next = withDelta(model, delta);
    if (next === "gap") {
      void this.fetchAll();
      return;
    }
    if (next === model) return;
    batch(() => {
      this.model.value = next;
      // A draft is of the picture as it was, and of the pattern before it was accepted anew.
      if (
        next.setup.trace !== model.setup.trace &&
        (delta.areas.length > 0 || drawnFrom(next) !== drawnFrom(model))
      )
        this.unwish();
    });
  }

  private show(seen: Seen): void {
    batch(() => {
      const other = this.model.value?.path !== seen.path;
      this.model.value = modelOf(seen);
      this.findingsOf.value = seen.findings === null ? 0 : seen.revision;
      if (other) {
        this.unwish();
        this.picking.clear();
        this.made.value = null;
      }
    });
  }

  /** Everything anew; calls made meanwhile share the one under way. */
  private fetchAll(): Promise<void> {
    this.fetching ??= this.fetchOnce().finally(() => {
      this.fetching = null;
    });
    return this.fetching;
  }

  private async fetchOnce(): Promise<void> {
    try {
      let desk = await this.door.desk();
      let seen = desk.job === null ? null : await this.door.seen();
      const open = this.model.value?.path;
      if (seen === null && open !== undefined) {
        // The server was started again without the job that this page shows.
        seen = await this.door.open(open).catch((error: unknown) => {
          if (!(error instanceof Refused)) throw error;
          this.refused(error.trouble);
          return null;
        });
        desk = await this.door.desk();
      }
      batch(() => {
        this.desk.value = desk;
        if (seen) this.show(seen);
        else this.model.value = null;
        this.link.value = "live";
      });
      this.account();
    } catch (error) {
      this.failed(error);
    }
  }
}

/** What a draft is drawn from. */
function drawnFrom({ setup }: Model): string {
  const { pieces: _, ...choices } = setup.trace;
  return JSON.stringify([choices, setup.picture, setup.panel, setup.stock]);
}
