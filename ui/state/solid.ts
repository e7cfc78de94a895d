// The relief in 3D as the server gives it: a binary glTF of our own making, read into what a scene needs.

/** Red, green, blue in linear light. */
export type Colour = readonly [number, number, number];

/** How a wood looks: in the textures, and raw and finished after each of `years`. */
export interface Course {
  readonly shown: Colour;
  readonly raw: readonly Colour[];
  readonly finished: readonly Colour[];
}

/** All surface of one wood on one texture. */
export interface Skin {
  /** The key of its wood; null while undecided. */
  readonly wood: string | null;
  /** Which of `textures`. */
  readonly texture: number;
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  readonly places: Float32Array;
  /** How the piece at each point lies out of true: its middle, m, and how far it leans to the right and up; 0 if true. */
  readonly lies: Float32Array;
  readonly indices: Uint32Array;
}

export interface Solid {
  readonly skins: readonly Skin[];
  /** JPEG files. */
  readonly textures: readonly Blob[];
  readonly years: readonly number[];
  readonly woods: Readonly<Record<string, Course>>;
}

interface Accessor {
  bufferView: number;
  byteOffset: number;
  count: number;
}

interface Told {
  scenes: [{ extras: { years: number[]; woods: Record<string, Course> } }];
  nodes: { mesh: number; extras: { wood: string | null; lies: number[] | null } }[];
  meshes: { primitives: Primitive[] }[];
  accessors: Accessor[];
  bufferViews: { byteOffset: number; byteLength: number }[];
  images: { bufferView: number }[];
}

interface Primitive {
  attributes: { POSITION: number; NORMAL: number; TEXCOORD_0: number };
  indices: number;
  material: number;
}

/** A primitive and how its piece lies. */
type Lying = Primitive & { readonly lies: readonly number[] };

/** The texture of faces: sides are sawn, and stand as they stand. */
const FACES = 0;
const TRUE = [0, 0, 0, 0] as const;

const MAGIC = 0x46546c67;
const HEAD = 20;

/** Reads it; throws when it is no binary glTF of ours. */
export function solidIn(file: ArrayBuffer): Solid {
  const words = new DataView(file);
  if (file.byteLength < HEAD || words.getUint32(0, true) !== MAGIC) throw new Error("no binary glTF");
  const length = words.getUint32(12, true);
  const told = JSON.parse(new TextDecoder().decode(new Uint8Array(file, HEAD, length))) as Told;
  const first = HEAD + length + 8;
  const skins = new Map<string, { wood: string | null; texture: number; of: Lying[] }>();
  for (const node of told.nodes) {
    for (const primitive of told.meshes[node.mesh]?.primitives ?? []) {
      const wood = node.extras.wood;
      const key = `${wood ?? ""}/${primitive.material}`;
      const skin = skins.get(key) ?? { wood, texture: primitive.material, of: [] };
      skin.of.push({ ...primitive, lies: (primitive.material === FACES && node.extras.lies) || TRUE });
      skins.set(key, skin);
    }
  }
  const image = ({ bufferView }: { bufferView: number }) => {
    const view = told.bufferViews[bufferView];
    if (!view) throw new Error("an image without its bytes");
    return new Blob([new Uint8Array(file, first + view.byteOffset, view.byteLength)], { type: "image/jpeg" });
  };
  const { years, woods } = told.scenes[0].extras;
  return {
    skins: [...skins.values()].map((skin) => joined(file, { told, first, ...skin })),
    textures: told.images.map(image),
    years,
    woods,
  };
}

interface Loose {
  readonly told: Told;
  readonly first: number;
  readonly wood: string | null;
  readonly texture: number;
  readonly of: readonly Lying[];
}

/** One mesh of many: fewer to draw. */
function joined(file: ArrayBuffer, { told, first, wood, texture, of }: Loose): Skin {
  const at = (index: number) => {
    const accessor = told.accessors[index];
    const view = accessor && told.bufferViews[accessor.bufferView];
    if (!accessor || !view) throw new Error("a mesh without its numbers");
    return { from: first + view.byteOffset + accessor.byteOffset, count: accessor.count };
  };
  const sum = (which: (primitive: Primitive) => number) =>
    of.reduce((all, primitive) => all + at(which(primitive)).count, 0);
  const points = sum((primitive) => primitive.attributes.POSITION);
  const skin = {
    wood,
    texture,
    positions: new Float32Array(points * 3),
    normals: new Float32Array(points * 3),
    places: new Float32Array(points * 2),
    lies: new Float32Array(points * 4),
    indices: new Uint32Array(sum((primitive) => primitive.indices)),
  };
  let [point, index] = [0, 0];
  for (const { attributes, indices, lies } of of) {
    const [positions, normals, places, corners] = [
      at(attributes.POSITION),
      at(attributes.NORMAL),
      at(attributes.TEXCOORD_0),
      at(indices),
    ];
    skin.positions.set(new Float32Array(file, positions.from, positions.count * 3), point * 3);
    skin.normals.set(new Float32Array(file, normals.from, normals.count * 3), point * 3);
    new Uint16Array(file, places.from, places.count * 2).forEach((place, nth) => {
      skin.places[point * 2 + nth] = place / 65_535;
    });
    for (let nth = 0; nth < positions.count; nth++) skin.lies.set(lies, (point + nth) * 4);
    new Uint16Array(file, corners.from, corners.count).forEach((corner, nth) => {
      skin.indices[index + nth] = point + corner;
    });
    point += positions.count;
    index += corners.count;
  }
  return skin;
}
