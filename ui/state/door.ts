// The way to the server: one function a request. Knows paths and status codes, keeps nothing.

import type {
  Ask,
  Asking,
  BoardLook,
  Chosen,
  Delta,
  Desk,
  Draft,
  Edit,
  Judged,
  Offers,
  Sawn,
  Section,
  Seen,
  SheetsFor,
  Shot,
  Started,
  TestLook,
  TestShot,
  Tones,
  Trouble,
} from "./wire";

/** The server refused; nothing was changed. */
export class Refused extends Error {
  constructor(readonly trouble: Trouble) {
    super(trouble.what);
  }
}

/** The server could not be reached. */
export class Unreached extends Error {}

/** This window is not known to the server: it was opened by an earlier start. */
export class Stranger extends Error {}

export interface Door {
  desk(): Promise<Desk>;
  /** A mask may say which of the picture becomes wood. */
  start(picture: Blob, name: string, asking: Asking, mask?: File): Promise<Seen>;
  /** A mask for the picture of the open job; null takes it away. */
  mask(at: number, mask: File | null): Promise<Delta>;
  /** Finds a board in a photograph; it stands on no rack yet. */
  lookAtBoard(photo: Blob, name: string, shot: Shot): Promise<BoardLook>;
  /** A photograph that a browser cannot show, as one that it can. */
  shown(photo: Blob, name: string): Promise<Blob>;
  /** Puts the board that was looked at last on the rack. */
  putBoard(at: number, ownColour: boolean): Promise<Delta>;
  demo(): Promise<Seen>;
  open(path: string): Promise<Seen>;
  seen(): Promise<Seen>;
  edit(at: number, edits: readonly Edit[]): Promise<Delta>;
  undo(at: number): Promise<Delta>;
  redo(at: number): Promise<Delta>;
  draft(pieces: number, fitted: boolean, stop: AbortSignal): Promise<Draft>;
  accept(pieces: number): Promise<Started>;
  ask(ask: Ask): Promise<Started>;
  stop(act: number): Promise<void>;
  within(polygon_mm: [number, number][]): Promise<Chosen>;
  section(line_mm: [number, number][]): Promise<Section>;
  /** Woods that come near some pieces. */
  offers(pieces: readonly number[]): Promise<Offers>;
  tones(): Promise<Tones>;
  /** What the woods as they are chosen leave open. */
  judged(): Promise<Judged>;
  /** A blade for each piece. */
  sawn(): Promise<Sawn>;
  /** The colours of finished test pieces in a photograph. */
  lookAtTest(photo: Blob, name: string, shot: TestShot): Promise<TestLook>;
  sheets(asked: SheetsFor): Promise<Started>;
  /** The files of the sheets that were made last. */
  made(): Promise<string[]>;
  /** Listens until the returned function is called. */
  listen(heard: Heard): () => void;
}

/** What the stream of events tells. */
export interface Heard {
  event(name: string, data: unknown): void;
  lost(): void;
}

const EVENTS = ["hello", "resync", "delta", "findings", "act", "act_ended"] as const;
const RETRY_MS = 1000;

export function httpDoor(): Door {
  return {
    desk: () => get("desk"),
    seen: () => get("seen"),
    start: (picture, name, asking, mask) =>
      sendForm("start", {
        asking,
        picture: [picture, name],
        ...maskPart(mask),
      }),
    mask: (at, mask) => sendForm("mask", { asking: { at }, ...maskPart(mask) }),
    lookAtBoard: (photo, name, shot) => sendForm("board/look", { shot, photo: [photo, name] }),
    shown: (photo, name) =>
      sendForm("shown", { asking: {}, photo: [photo, name] }, (answer) => answer.blob()),
    putBoard: (at, own_colour) => post("board/put", { at, own_colour }),
    demo: () => post("demo", {}),
    open: (path) => post("open", { path }),
    edit: (at, edits) => post("edit", { at, edits }),
    undo: (at) => post("undo", { at }),
    redo: (at) => post("redo", { at }),
    draft: (pieces, fitted, stop) => post("draft", { pieces, fitted }, stop),
    accept: (pieces) => post("accept", { pieces }),
    ask: (ask) => post("ask", { ask }),
    stop: (act) => post("act/stop", { act }),
    within: (polygon_mm) => post("within", { polygon_mm }),
    section: (line_mm) => post("section", { line_mm }),
    offers: (pieces) => post("woods", { pieces }),
    tones: () => get("tones"),
    judged: () => get("woods/judged"),
    sawn: () => get("saw"),
    lookAtTest: (photo, name, shot) => sendForm("woods/test", { shot, photo: [photo, name] }),
    sheets: (asked) => post("sheets", asked),
    made: () => get("sheets"),
    listen,
  };
}

const maskPart = (mask?: File | null) => (mask ? { mask: [mask, mask.name] as const } : {});

function get<T>(path: string): Promise<T> {
  return send(path, { method: "GET" });
}

function post<T>(path: string, body: unknown, stop?: AbortSignal): Promise<T> {
  const init: RequestInit = {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  };
  return send(path, stop ? { ...init, signal: stop } : init);
}

/** Words as JSON, files with their names. */
function sendForm<T>(path: string, parts: Record<string, unknown>, taken?: Taken): Promise<T> {
  const form = new FormData();
  for (const [name, part] of Object.entries(parts)) {
    if (Array.isArray(part) && part[0] instanceof Blob) form.append(name, part[0], String(part[1]));
    else form.append(name, JSON.stringify(part));
  }
  return send(path, { method: "POST", body: form }, taken);
}

/** What is taken of an answer that is no JSON. */
type Taken = (answer: Response) => Promise<unknown>;

async function send<T>(path: string, init: RequestInit, taken?: Taken): Promise<T> {
  let answer: Response;
  let text: string;
  try {
    answer = await fetch(`/api/${path}`, { ...init, credentials: "same-origin", cache: "no-store" });
    if (answer.ok && taken) return (await taken(answer)) as T;
    // A server may die between the head of its answer and the end: that is no answer.
    text = await answer.text();
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    throw new Unreached();
  }
  if (answer.status === 401 || answer.status === 403) throw new Stranger();
  if (!answer.ok) throw new Refused(troubleIn(text, answer.status));
  return (text === "" ? undefined : whole(text)) as T;
}

/** The value in a text; one that breaks off was cut by a server that died. */
function whole(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new Unreached();
  }
}

function troubleIn(text: string, status: number): Trouble {
  const bare: Trouble = {
    what: `The request was not understood (${status}).`,
    where: {},
    ways: [],
    stale: status === 409,
  };
  try {
    return { ...bare, ...(JSON.parse(text) as Partial<Trouble>) };
  } catch {
    return text.length > 0 && text.length < 300 ? { ...bare, what: text } : bare;
  }
}

function listen(heard: Heard): () => void {
  let source: EventSource | null = null;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const open = () => {
    source = new EventSource("/api/events");
    for (const name of EVENTS) {
      source.addEventListener(name, (event) =>
        heard.event(name, JSON.parse((event as MessageEvent).data || "null")),
      );
    }
    source.onerror = () => {
      source?.close();
      heard.lost();
      timer = setTimeout(open, RETRY_MS);
    };
  };
  open();
  return () => {
    clearTimeout(timer);
    source?.close();
  };
}
