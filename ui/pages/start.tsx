// The desk: a picture to start from, jobs that were open before, the demo.

import { type Signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { PaperPhoto } from "../state/board-photo";
import { FramedPicture } from "../state/framing";
import type { InkChoice, Paper, Recent } from "../state/wire";
import { Framer } from "../view/framer";
import { Icon } from "../view/icons";
import { MaskField } from "../view/mask";
import { Photographed } from "../view/photographed";
import { goTo, useStudio } from "../view/shared";
import { inkOptions } from "./picture/ink";

export function Start() {
  return (
    <main class="start">
      <div class="start-inner">
        <section>
          <h2 class="unseen">A new work</h2>
          <p class="start-title">From a picture to pieces of wood</p>
          <p class="start-lead">
            Give spelk a picture. It draws the saw lines, finds woods and heights, and prints the pattern for
            the bench.
          </p>
          <NewWork />
        </section>
        <Aside />
      </div>
    </main>
  );
}

function NewWork() {
  const studio = useStudio();
  const picture = useSignal<File | null>(null);
  const framed = useSignal<FramedPicture | null>(null);
  const paper = useSignal<PaperPhoto | null>(null);
  const working = useSignal(false);
  const take = (file: File) => {
    if (isZipped(file)) {
      studio.tell(
        `${file.name} is a compressed drawing (SVGZ), which spelk does not read. Save it as plain SVG in your drawing program, and choose that file.`,
      );
      return;
    }
    picture.value = file;
    framed.value = null;
    paper.value = null;
  };
  usePaste(take);
  const begin = async (event: SubmitEvent) => {
    event.preventDefault();
    if (!picture.value || working.value) return;
    working.value = true;
    const form = new FormData(event.currentTarget as HTMLFormElement);
    const framing = framed.value?.framing;
    const sheet = paper.value && paperAsked(form, paper.value);
    const words = {
      ...asked(form),
      ...(framing ? { framing } : {}),
      ...(sheet ? { paper: sheet } : {}),
    };
    const mask = form.get("mask");
    const begun = await studio.start(
      picture.value,
      picture.value.name,
      words,
      mask instanceof File && mask.size > 0 ? mask : undefined,
    );
    working.value = false;
    if (begun) {
      goTo("pattern");
      // A drawing is the pattern already: nothing is to be traced.
      if (!isDrawing(picture.value) && !sheet)
        await studio.wish(studio.model.value?.setup.trace.pieces ?? 180);
    }
  };
  return (
    <form onSubmit={begin}>
      <Drop picture={picture.value} shown={framed.value === null && paper.value === null} take={take} />
      {paper.value && <Photographed photo={paper.value} />}
      {picture.value && !isDrawing(picture.value) && !paper.value && (
        <Crop picture={picture.value} framed={framed} />
      )}
      {picture.value && <Questions of={picture.value} paper={paper} working={working.value} />}
    </form>
  );
}

/** Lines as a drawing program saves them, not pixels. */
const isDrawing = (file: File) => file.type === "image/svg+xml" || /\.svg$/i.test(file.name);

/** The same, compressed: browsers give it the type of a plain one, or none. */
const isZipped = (file: File) => /\.svgz$/i.test(file.name);

function asked(form: FormData) {
  const word = (name: string) => String(form.get(name) ?? "").trim();
  return {
    title: word("title"),
    // A unit that was typed goes before the one that was chosen.
    width: /[a-z"″]\s*$/i.test(word("width")) ? word("width") : `${word("width")} ${word("unit")}`,
    stock: word("stock") === "list" ? word("list") : word("stock"),
    keep_all: form.has("keep_all"),
    ink: (word("ink") || "leave") as InkChoice,
    author: word("author"),
    source: word("source"),
    permission: word("permission"),
  };
}

/** Turning and cropping, once it is asked for. */
function Crop({ picture, framed }: { picture: File; framed: Signal<FramedPicture | null> }) {
  const address = useSignal("");
  useEffect(() => {
    const url = URL.createObjectURL(picture);
    address.value = url;
    return () => URL.revokeObjectURL(url);
  }, [picture]);
  const open = async () => {
    // A picture that the browser cannot show is cropped on the Picture page, where spelk has read it.
    const bitmap = await createImageBitmap(picture).catch(() => null);
    if (bitmap) framed.value = new FramedPicture(bitmap.width, bitmap.height, undefined, null);
    else
      studio.tell("This browser cannot show the picture. Begin with it, then crop it on the Picture page.");
    bitmap?.close();
  };
  const studio = useStudio();
  if (framed.value) return <Framer href={address.value} framed={framed.value} />;
  return (
    <p class="row crop-row">
      <button type="button" class="button" onClick={() => void open()}>
        <Icon name="crop" /> Crop, turn, level
      </button>
    </p>
  );
}

interface Asked {
  of: File;
  paper: Signal<PaperPhoto | null>;
  working: boolean;
}

function Questions({ of, paper, working }: Asked) {
  const drawing = isDrawing(of);
  const stock = useSignal("thick");
  const folder = useStudio().desk.value?.folder;
  return (
    <div class="form">
      <div class="form-grid">
        <label class="field">
          <span>Title</span>
          <input name="title" required defaultValue={of.name.replace(/\.\w+$/, "").replace(/[-_]+/g, " ")} />
        </label>
        <Width word={drawing ? "Finished width, where the drawing says no size" : "Finished width"} />
        <label class="field">
          <span>Sawn from</span>
          <select
            name="stock"
            value={stock.value}
            onChange={(event) => (stock.value = event.currentTarget.value)}
          >
            <option value="thick">Boards, 12 to 45 mm</option>
            <option value="thin">Thin plates, 1.5 to 6 mm</option>
            <option value="list">My own thicknesses</option>
          </select>
        </label>
        {stock.value === "list" && (
          <label class="field">
            <span>Thicknesses, with their unit</span>
            <input name="list" required placeholder="3mm, 6mm or 1/8in, 1/4in" />
          </label>
        )}
      </div>
      {drawing ? (
        <p class="soft">
          Your drawing becomes the pattern as it is: its page is the panel, at its size, and every line is a
          saw line. Lines that part nothing are left out.
        </p>
      ) : (
        <>
          <label class="choice">
            <input
              type="checkbox"
              checked={paper.value !== null}
              onChange={(event) => {
                paper.value = event.currentTarget.checked ? new PaperPhoto(of) : null;
              }}
            />
            <span>It is my own line drawing on paper: its lines become the saw lines</span>
          </label>
          {paper.value ? <OfPaper /> : <OfPicture />}
        </>
      )}
      <p class="row">
        <button type="submit" class="button main" disabled={working}>
          <Icon name="pattern" />{" "}
          {working
            ? "Reading…"
            : drawing || paper.value
              ? "Take the drawing as the pattern"
              : "Draw a first pattern"}
        </button>
      </p>
      {folder && <p class="soft small">The job is kept as a file in {folder}.</p>}
    </div>
  );
}

/** What the maker says of the sheet. */
function paperAsked(form: FormData, photo: PaperPhoto): Paper {
  const corners = photo.places.sheet.value;
  const typed = (name: string) => String(form.get(name) ?? "").trim();
  return { corners, height: typed("sheet_height"), bridge: typed("bridge") };
}

function OfPaper() {
  return (
    <>
      <p class="soft">
        Drag corners 1 to 4 to those of the sheet, or of a frame drawn on it, from the top left; Tab reaches
        each, and the arrow keys move it. The finished width is from corner 1 to 2. Numbers written in the
        pieces do no harm.
      </p>
      <div class="form-grid">
        <label class="field">
          <span>Height from corner 2 to 3, with its unit, if you know it</span>
          <input name="sheet_height" placeholder="300 mm" />
        </label>
        <label class="field">
          <span>Bridge breaks in lines up to so wide, with its unit; empty for none</span>
          <input name="bridge" defaultValue="1 mm" />
        </label>
      </div>
    </>
  );
}

function OfPicture() {
  return (
    <>
      <label class="choice">
        <input type="checkbox" name="keep_all" />
        <span>Saw the background too, do not drop a plain one</span>
      </label>
      <label class="field ink-field">
        <span>Dark drawn lines, if it has any,</span>
        <select name="ink">{inkOptions()}</select>
      </label>
      <MaskField />
      <fieldset class="form-grid">
        <legend class="legend">Whose picture is it? It is printed with the pattern.</legend>
        <label class="field">
          <span>Author</span>
          <input name="author" placeholder="who drew or took it" />
        </label>
        <label class="field">
          <span>Source</span>
          <input name="source" placeholder="where it is from" />
        </label>
        <label class="field">
          <span>Permission</span>
          <input name="permission" placeholder="by what right it is used" />
        </label>
      </fieldset>
    </>
  );
}

/** Usual widths, for a work that hangs over a sideboard. */
const USUAL: Readonly<Record<string, string>> = { mm: "420", in: "16 1/2" };

function Width({ word }: { word: string }) {
  const field = useRef<HTMLInputElement>(null);
  /** A width that was not touched is said anew in the other unit; one that was typed is the maker's. */
  const said = (unit: string) => {
    const untouched = Object.values(USUAL).includes(field.current?.value.trim() ?? "");
    if (field.current && untouched) field.current.value = USUAL[unit] ?? "";
  };
  return (
    <div class="field">
      <label for="width" class="legend">
        {word}
      </label>
      <div class="row">
        <input ref={field} id="width" name="width" class="input grow" required defaultValue={USUAL.mm} />
        <select
          name="unit"
          class="input unit"
          aria-label="Unit of the width"
          onChange={(event) => said(event.currentTarget.value)}
        >
          <option value="mm">mm</option>
          <option value="in">inches</option>
        </select>
      </div>
    </div>
  );
}

interface DropProps {
  picture: File | null;
  /** Whether the picture shows here; while it is cropped it shows below. */
  shown: boolean;
  take: (file: File) => void;
}

function Drop({ picture, shown, take }: DropProps) {
  const over = useSignal(false);
  return (
    <label
      class={`drop${over.value ? " over" : ""}${shown ? "" : " low"}`}
      onDragOver={(event) => {
        event.preventDefault();
        over.value = true;
      }}
      onDragLeave={() => {
        over.value = false;
      }}
      onDrop={(event) => {
        event.preventDefault();
        over.value = false;
        const file = event.dataTransfer?.files[0];
        if (file) take(file);
      }}
    >
      <input
        class="unseen"
        type="file"
        accept="image/png,image/jpeg,image/webp,image/tiff,image/gif,image/bmp,image/svg+xml"
        onChange={(event) => {
          const file = event.currentTarget.files?.[0];
          if (file) take(file);
        }}
      />
      {picture && shown && <Shown picture={picture} />}
      {!picture && <Icon name="picture" />}
      <strong>{picture ? picture.name : "Drop a picture here, paste one, or choose a file"}</strong>
      <span class="soft small">
        {picture
          ? "Choose another"
          : "Clear shapes and few tones saw best. Your own line drawing is taken as it is: as SVG, or as a photograph of it on paper. The file stays on this computer."}
      </span>
    </label>
  );
}

const SHOWN_PX = 640;

/** Painted, since the content policy admits no address that is not the server's. */
function Shown({ picture }: { picture: File }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const shown = useSignal(false);
  const unseen = useSignal(false);
  useEffect(() => {
    let gone = false;
    shown.value = false;
    unseen.value = false;
    createImageBitmap(picture)
      .then((bitmap) => {
        if (gone || !canvas.current) return;
        const scale = Math.min(1, SHOWN_PX / Math.max(bitmap.width, bitmap.height));
        canvas.current.width = Math.round(bitmap.width * scale);
        canvas.current.height = Math.round(bitmap.height * scale);
        canvas.current.getContext("2d")?.drawImage(bitmap, 0, 0, canvas.current.width, canvas.current.height);
        shown.value = true;
      })
      .catch(() => {
        unseen.value = !gone;
      });
    return () => {
      gone = true;
    };
  }, [picture]);
  return (
    <>
      <canvas ref={canvas} hidden={!shown.value} />
      {unseen.value && (
        <span class="soft small">
          This browser cannot show it. If it is a TIFF, spelk may still read it; if it is no picture, choose
          another.
        </span>
      )}
    </>
  );
}

function usePaste(take: (file: File) => void): void {
  useEffect(() => {
    const paste = (event: ClipboardEvent) => {
      const file = [...(event.clipboardData?.files ?? [])].find((each) => each.type.startsWith("image/"));
      // Browsers call every pasted picture `image.png`, which is no title.
      if (file)
        take(new File([file], `pasted picture.${file.type.replace(/.*\//, "")}`, { type: file.type }));
    };
    document.addEventListener("paste", paste);
    return () => document.removeEventListener("paste", paste);
  }, []);
}

function Aside() {
  const studio = useStudio();
  const making = useSignal(false);
  const demo = async () => {
    making.value = true;
    if (await studio.demo()) goTo("pattern");
    making.value = false;
  };
  const recent = studio.desk.value?.recent ?? [];
  return (
    <aside class="aside" aria-label="Other ways to begin">
      <section>
        <h2>Go on with</h2>
        {recent.length === 0 && <p class="soft">No job was open before. Yours will be listed here.</p>}
        <ul class="recent">
          {recent.map((job) => (
            <li key={job.path}>
              <RecentJob job={job} />
            </li>
          ))}
        </ul>
      </section>
      <section>
        <h2>Look around first</h2>
        <p class="soft">A heron among reeds, planned whole: pattern, woods and heights.</p>
        <p class="row demo-row">
          <button type="button" class="button" disabled={making.value} onClick={demo}>
            <Icon name="view" /> {making.value ? "Planning the heron…" : "Open the demo"}
          </button>
        </p>
      </section>
      {studio.desk.value && <p class="soft small">spelk {studio.desk.value.version}</p>}
    </aside>
  );
}

function RecentJob({ job }: { job: Recent }) {
  const studio = useStudio();
  const open = async () => {
    if (await studio.open(job.path)) goTo("pattern");
  };
  return (
    <button type="button" class="button" onClick={open}>
      <span>{job.title || "Untitled"}</span>
      <span class="small soft">{job.path}</span>
    </button>
  );
}
