import { beforeEach, expect, test, vi } from "vitest";
import { Studio } from "../state/studio";
import { delta, Fake, seen } from "./fake";

let fake: Fake;
let studio: Studio;

beforeEach(async () => {
  fake = new Fake();
  studio = new Studio(fake);
  await studio.begin();
});

const settled = () => new Promise((done) => setTimeout(done, 5));

test("an edit shows what the server says changed, and what undo would take back", async () => {
  expect(await studio.edit({ pattern: { merge: [1, 2] } })).toBe(true);
  expect([...(studio.model.value?.areas.keys() ?? [])]).toEqual([1, 3]);
  expect(studio.model.value?.undo).toBe("merging pieces");
  await studio.undo();
  expect(studio.model.value?.areas.size).toBe(3);
  expect(studio.model.value?.redo).toBe("merging pieces");
});

test("relations that go with a piece are told; what is said of heights is in its list", async () => {
  fake.told = ["Gone: relation 3, piece 2 level with piece 1."];
  await studio.edit({ relief: { unrelate: 3 } });
  expect(studio.said.value).toBe(null);
  await studio.edit({ pattern: { open: 2 } });
  expect(studio.said.value).toEqual({ what: "Gone: relation 3, piece 2 level with piece 1.", grave: false });
});

test("two quick edits go one after the other, each upon the state before", async () => {
  await Promise.all([studio.edit({ pattern: { open: 1 } }), studio.edit({ pattern: { close: 1 } })]);
  expect(fake.sent.map((each) => each.at)).toEqual([1, 2]);
});

test("the same change told twice is taken once; a missed one fetches the whole", async () => {
  const change = delta(1, { gone_areas: [3] });
  fake.heard?.event("delta", change);
  fake.heard?.event("delta", change);
  expect(studio.model.value?.revision).toBe(2);
  const before = fake.fetched;
  fake.now = seen(9);
  fake.heard?.event("delta", delta(8, {}));
  await settled();
  expect(fake.fetched).toBe(before + 1);
  expect(studio.model.value?.revision).toBe(9);
});

test("a stale edit fetches the job as it is, and says so", async () => {
  fake.stale = true;
  fake.now = seen(4);
  expect(await studio.edit({ pattern: { open: 1 } })).toBe(false);
  await settled();
  expect(studio.model.value?.revision).toBe(4);
  expect(studio.said.value?.grave).toBe(false);
});

const dies = () => {
  fake.away = true;
  fake.heard?.lost();
};
const returns = async (now: ReturnType<typeof seen>) => {
  fake.away = false;
  fake.now = now;
  fake.heard?.event("hello", { revision: now.revision });
  await settled();
};

test("a dead server is noticed, the page comes back by itself, and what was not kept is offered again", async () => {
  dies();
  await settled();
  expect(studio.link.value).toBe("lost");
  expect(await studio.edit({ pattern: { open: 1 } })).toBe(false);
  expect(await studio.edit({ pattern: { close: 2 } })).toBe(false);
  await returns(seen(1007, 1));
  expect(studio.link.value).toBe("live");
  expect(studio.model.value?.revision).toBe(1007);
  expect(studio.said.value?.what).toMatch(/last 2 steps were not kept/);
  const edits = studio.said.value?.trouble?.ways[0]?.edits;
  expect(edits).toEqual([{ pattern: { open: 1 } }, { pattern: { close: 2 } }]);
  expect(await studio.edit(...(edits as never[]))).toBe(true);
});

test("a step whose answer was lost by the kill, but which is in the file, is not offered again", async () => {
  fake.away = true;
  expect(await studio.edit({ pattern: { open: 1 } })).toBe(false);
  await returns(seen(1007, 2));
  expect(studio.said.value).toEqual({ what: "spelk is back, and your last step was kept.", grave: false });
});

test("a server started again without the job is given the job that the page shows", async () => {
  dies();
  fake.job = null;
  await returns(seen(1007));
  expect(fake.opened).toEqual(["job.spelk"]);
  expect(studio.model.value?.revision).toBe(1007);
});

test("one failed request does not leave a living server for dead", async () => {
  fake.failing = 1;
  expect(await studio.edit({ pattern: { open: 1 } })).toBe(false);
  await settled();
  expect(studio.link.value).toBe("live");
  expect(studio.said.value?.what).toMatch(/was not kept/);
  expect(await studio.edit({ pattern: { open: 1 } })).toBe(true);
});

test("a server that does not know this window is told from a dead one", async () => {
  fake.stranger = true;
  fake.heard?.lost();
  await settled();
  expect(studio.link.value).toBe("stranger");
  fake.stranger = false;
  fake.away = true;
  fake.heard?.lost();
  await settled();
  expect(studio.link.value).toBe("lost");
  await returns(seen(5));
  expect(studio.link.value).toBe("live");
});

test("only the last draft wished for is shown", async () => {
  void studio.wish(100);
  void studio.wish(200);
  const [first, second] = fake.drafts;
  expect(first?.stop.aborted).toBe(true);
  second?.answer({ pieces: 200, areas: [], line_d: "" });
  first?.answer({ pieces: 100, areas: [], line_d: "" });
  await settled();
  expect(studio.draft.value?.pieces).toBe(200);
  studio.unwish();
  expect(studio.draft.value).toBeNull();
});

test("while a draft is drawn the one before is not taken for it; what it is drawn from drops it", async () => {
  void studio.wish(100);
  expect(studio.drawing.value).toBe(true);
  fake.drafts[0]?.answer({ pieces: 100, areas: [], line_d: "" });
  await settled();
  expect(studio.drawing.value).toBe(false);
  void studio.wish(120);
  expect([studio.draft.value?.pieces, studio.drawing.value]).toEqual([100, true]);
  fake.drafts[1]?.answer({ pieces: 120, areas: [], line_d: "" });
  await settled();
  const { setup } = seen();
  fake.heard?.event("delta", delta(1, { setup: { ...setup, trace: { ...setup.trace } } }));
  expect(studio.draft.value?.pieces).toBe(120);
  fake.heard?.event("delta", delta(2, { setup: { ...setup, trace: { ...setup.trace, ink: "close" } } }));
  expect([studio.draft.value, studio.wanted.value, studio.drawing.value]).toEqual([null, null, false]);
});

test("a wish that has rested is shown as accepting would take it", async () => {
  vi.useFakeTimers();
  void studio.wish(100);
  expect(fake.drafts.map((draft) => draft.fitted)).toEqual([false]);
  fake.drafts[0]?.answer({ pieces: 100, areas: [], line_d: "" });
  await vi.advanceTimersByTimeAsync(2000);
  expect(fake.drafts.map((draft) => draft.fitted)).toEqual([false, true]);
  fake.drafts[1]?.answer({ pieces: 99, areas: [], line_d: "" });
  await vi.advanceTimersByTimeAsync(0);
  expect(studio.draft.value?.pieces).toBe(99);
  vi.useRealTimers();
});

test("findings of an older state are marked as being checked anew", () => {
  expect(studio.checking.value).toBe(false);
  fake.heard?.event("delta", delta(1, {}));
  expect(studio.checking.value).toBe(true);
  fake.heard?.event("findings", { revision: 2, findings: [] });
  expect(studio.checking.value).toBe(false);
});

test("an act that ended before its answer came does not run for ever", async () => {
  fake.heard?.event("act_ended", { id: 2, name: "choose_woods", ok: true, stopped: false, refusal: null });
  await studio.ask("choose_woods");
  expect(studio.acts.running.value).toEqual([]);
});

test("arrows walk among neighbours, the way that they point", () => {
  studio.picking.only(1);
  expect(studio.picking.walk([1, 0])).toBe(2);
  expect(studio.picking.walk([1, 0])).toBe(3);
  expect(studio.picking.walk([1, 0])).toBeNull();
  expect(studio.picking.walk([-1, 0], true)).toBe(2);
  expect([...studio.picking.ids.value]).toEqual([3, 2]);
  expect(studio.picking.pieces.value.map((each) => each.number)).toEqual([3, 2]);
});

test("the next and the previous number are picked, round and round", () => {
  expect(studio.picking.next(1)).toBe(1);
  expect(studio.picking.next(1)).toBe(2);
  expect(studio.picking.next(-1)).toBe(1);
  expect(studio.picking.next(-1)).toBe(3);
  expect(studio.picking.next(1)).toBe(1);
});

test("a refusal is put away once something is done, an offer is not", async () => {
  studio.said.value = { what: "no", grave: true, trouble: { what: "no", where: {}, ways: [], stale: false } };
  await studio.edit({ pattern: { open: 1 } });
  expect(studio.said.value).toBeNull();
  const ways = [{ says: "Do it otherwise", edits: [{ pattern: { open: 2 } }] }];
  const refusal = { what: "no", grave: true, trouble: { what: "", where: {}, ways, stale: false } };
  studio.said.value = refusal as never;
  await studio.edit({ pattern: { open: 1 } });
  expect(studio.said.value).toBeNull();
  const offer = { ...refusal, what: "not kept", stays: true };
  studio.said.value = offer as never;
  await studio.edit({ pattern: { open: 1 } });
  expect(studio.said.value).toBe(offer);
});

test("a refusal is put away when the maker goes on; words that tell are not, nor is an offer", () => {
  expect(studio.hush()).toBe(false);
  studio.said.value = { what: "no", grave: true };
  expect(studio.hush()).toBe(true);
  expect(studio.said.value).toBeNull();
  studio.tell("done");
  expect(studio.hush()).toBe(false);
  const offer = { what: "not kept", grave: true, stays: true };
  studio.said.value = offer;
  expect(studio.hush()).toBe(false);
  expect(studio.said.value).toBe(offer);
});

test("the pattern book stops the picture that is being lit", async () => {
  const act = (id: number, name: string) => fake.heard?.event("act", { id, name, done: 0, text: "" });
  act(7, "view");
  act(8, "solid");
  act(9, "choose_woods");
  await studio.sheets({ paper: "a4", only: [], many: true });
  expect(fake.stopped).toEqual([7]);
});

test("of two acts of one name the later is shown, in its place", () => {
  const act = (id: number, name: string, done: number) =>
    fake.heard?.event("act", { id, name, done, text: "" });
  act(1, "view", 0.5);
  act(2, "sheets", 0);
  act(3, "view", 0);
  act(1, "view", 0.6);
  expect(studio.acts.lasting().map(({ id }) => id)).toEqual([2, 3]);
});

test("what was done is told with undo beside it, and the note is of that step alone", async () => {
  await studio.edit({ stock: { away: 1 } });
  studio.tellDone("rack 3 is off the rack.");
  expect(studio.said.value).toEqual({ what: "rack 3 is off the rack.", grave: false, undoes: 2 });
  expect(studio.model.value?.step).toBe(2);
  await studio.undo();
  expect(studio.said.value).toBeNull();
});

test("sheets that were made are there to download, of the state that they were asked for", async () => {
  await studio.sheets({ paper: "a4", only: ["prints"], many: true });
  await studio.edit({ pattern: { open: 1 } });
  fake.heard?.event("act_ended", { id: 3, name: "sheets", ok: true, stopped: false, refusal: null });
  await settled();
  expect(studio.made.value).toEqual({ files: ["pattern-book-a4-prints.pdf"], revision: 1 });
  expect(studio.said.value?.what).toContain("Prints to cut up, PDF");
});
