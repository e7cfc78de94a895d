//! The container: glTF 2.0, binary (Khronos, "glTF 2.0 Specification"; ISO/IEC 12113:2022).

use serde_json::{Value, json};

use super::body::Mesh;

const FLOAT: u32 = 5126;
const SHORT: u32 = 5123;
const VERTICES: u32 = 34962;
const INDICES: u32 = 34963;
/// "glTF", the version, and the names of the two chunks.
const MAGIC: u32 = 0x4654_6C67;
const VERSION: u32 = 2;
const JSON: u32 = 0x4E4F_534A;
const BIN: u32 = 0x004E_4942;

/// What is drawn under one name: its meshes, each with the texture it wears.
pub(super) struct Part {
    pub name: String,
    /// The key of its wood; none while undecided.
    pub wood: Option<String>,
    /// How it lies out of true, as `Lies::in_solid` has it; none where it is true.
    pub lies: Option<[f32; 4]>,
    pub meshes: Vec<(Mesh, usize)>,
}

/// A texture as a JPEG.
pub(super) struct Texture {
    pub name: &'static str,
    pub jpeg: Vec<u8>,
}

/// The file of named parts with their textures; `rough` is the roughness of the finish, 0 to 1.
pub(super) fn file(parts: &[Part], textures: &[Texture], (title, rough, woods): (&str, f32, Value)) -> Vec<u8> {
    let mut data: [Vec<u8>; 4] = Default::default();
    let (mut accessors, mut meshes, mut nodes) = (Vec::new(), Vec::new(), Vec::new());
    for Part { name, wood, lies, meshes: of } in parts {
        let mut primitives = Vec::new();
        for (mesh, texture) in of {
            let first = accessors.len();
            accessors.extend(accessors_of(mesh, &data));
            put(mesh, &mut data);
            let attributes = json!({"POSITION": first, "NORMAL": first + 1, "TEXCOORD_0": first + 2});
            primitives.push(json!({"attributes": attributes, "indices": first + 3, "material": texture}));
        }
        nodes.push(json!({"mesh": meshes.len(), "name": name, "extras": {"wood": wood, "lies": lies}}));
        meshes.push(json!({"primitives": primitives, "name": name}));
    }
    let (views, bytes) = joined(&data, textures);
    let each = |make: &dyn Fn(usize) -> Value| (0..textures.len()).map(make).collect::<Vec<_>>();
    let (all, title) = ((0..nodes.len()).collect::<Vec<_>>(), if title.is_empty() { "relief" } else { title });
    let scene = json!({"nodes": all, "name": title, "extras": woods});
    let json = json!({
        "asset": {"version": "2.0", "generator": "spelk"},
        "scene": 0, "scenes": [scene], "nodes": nodes, "meshes": meshes, "accessors": accessors,
        "materials": each(&|at| json!({"name": textures[at].name, "pbrMetallicRoughness": {
            "baseColorTexture": {"index": at}, "metallicFactor": 0, "roughnessFactor": (f64::from(rough) * 100.0).round() / 100.0}})),
        "textures": each(&|at| json!({"source": at, "sampler": 0})),
        "samplers": [{"magFilter": 9729, "minFilter": 9987, "wrapS": 33071, "wrapT": 33071}],
        "images": each(&|at| json!({"bufferView": 4 + at, "mimeType": "image/jpeg", "name": textures[at].name})),
        "bufferViews": views, "buffers": [{"byteLength": bytes.len()}],
    });
    packed(json.to_string().into_bytes(), bytes)
}

fn put(mesh: &Mesh, [positions, normals, places, indices]: &mut [Vec<u8>; 4]) {
    mesh.positions.iter().flatten().for_each(|value| positions.extend(value.to_le_bytes()));
    mesh.normals.iter().flatten().for_each(|value| normals.extend(value.to_le_bytes()));
    mesh.places.iter().flatten().for_each(|value| places.extend(((value * 65_535.0) as u16).to_le_bytes()));
    mesh.indices.iter().for_each(|value| indices.extend(value.to_le_bytes()));
}

fn accessors_of(body: &Mesh, parts: &[Vec<u8>; 4]) -> [Value; 4] {
    let edge = |pick: fn(f32, f32) -> f32| {
        [0, 1, 2].map(|axis| body.positions.iter().map(|at| at[axis]).reduce(pick).unwrap_or(0.0))
    };
    let count = body.positions.len();
    [
        json!({"bufferView": 0, "byteOffset": parts[0].len(), "componentType": FLOAT, "count": count, "type": "VEC3",
            "min": edge(f32::min), "max": edge(f32::max)}),
        json!({"bufferView": 1, "byteOffset": parts[1].len(), "componentType": FLOAT, "count": count, "type": "VEC3"}),
        json!({"bufferView": 2, "byteOffset": parts[2].len(), "componentType": SHORT, "count": count, "type": "VEC2",
            "normalized": true}),
        json!({"bufferView": 3, "byteOffset": parts[3].len(), "componentType": SHORT, "count": body.indices.len(),
            "type": "SCALAR"}),
    ]
}

/// All parts one after the other, each from a multiple of four bytes, and the views of them.
fn joined(parts: &[Vec<u8>; 4], textures: &[Texture]) -> (Vec<Value>, Vec<u8>) {
    let (mut views, mut bytes) = (Vec::new(), Vec::new());
    let mut put = |part: &[u8], kind: Value| {
        let mut view = json!({"buffer": 0, "byteOffset": bytes.len(), "byteLength": part.len()});
        view.as_object_mut().expect("a view is an object").extend(kind.as_object().expect("so is its kind").clone());
        views.push(view);
        bytes.extend_from_slice(part);
        bytes.resize(bytes.len().next_multiple_of(4), 0);
    };
    put(&parts[0], json!({"target": VERTICES, "byteStride": 12}));
    put(&parts[1], json!({"target": VERTICES, "byteStride": 12}));
    put(&parts[2], json!({"target": VERTICES, "byteStride": 4}));
    put(&parts[3], json!({"target": INDICES}));
    textures.iter().for_each(|texture| put(&texture.jpeg, json!({})));
    (views, bytes)
}

fn packed(mut json: Vec<u8>, bytes: Vec<u8>) -> Vec<u8> {
    json.resize(json.len().next_multiple_of(4), b' ');
    let length = 12 + 8 + json.len() + 8 + bytes.len();
    let mut file = Vec::with_capacity(length);
    let words = |file: &mut Vec<u8>, words: &[u32]| words.iter().for_each(|word| file.extend(word.to_le_bytes()));
    words(&mut file, &[MAGIC, VERSION, length as u32, json.len() as u32, JSON]);
    file.extend(json);
    words(&mut file, &[bytes.len() as u32, BIN]);
    file.extend(bytes);
    file
}
