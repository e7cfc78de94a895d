//! The container: glTF 2.0, binary (Khronos, "glTF 2.0 Specification"; ISO/IEC 12113:2022).

use serde_json::{Value, json};

use super::body::Body;

const FLOAT: u32 = 5126;
const SHORT: u32 = 5123;
const VERTICES: u32 = 34962;
const INDICES: u32 = 34963;
/// "glTF", the version, and the names of the two chunks.
const MAGIC: u32 = 0x4654_6C67;
const VERSION: u32 = 2;
const JSON: u32 = 0x4E4F_534A;
const BIN: u32 = 0x004E_4942;

/// The file of named bodies with one texture (JPEG); `rough` is the roughness of the finish, 0 to 1.
pub(super) fn file(bodies: &[(String, Body)], jpeg: &[u8], (title, rough): (&str, f32)) -> Vec<u8> {
    let mut parts: [Vec<u8>; 4] = Default::default();
    let (mut accessors, mut meshes, mut nodes) = (Vec::new(), Vec::new(), Vec::new());
    for (name, body) in bodies {
        let first = accessors.len();
        accessors.extend(accessors_of(body, &parts));
        body.positions.iter().flatten().for_each(|value| parts[0].extend(value.to_le_bytes()));
        body.normals.iter().flatten().for_each(|value| parts[1].extend(value.to_le_bytes()));
        body.places.iter().flatten().for_each(|value| parts[2].extend(((value * 65_535.0) as u16).to_le_bytes()));
        body.indices.iter().for_each(|value| parts[3].extend(value.to_le_bytes()));
        let attributes = json!({"POSITION": first, "NORMAL": first + 1, "TEXCOORD_0": first + 2});
        let primitive = json!({"attributes": attributes, "indices": first + 3, "material": 0});
        nodes.push(json!({"mesh": meshes.len(), "name": name}));
        meshes.push(json!({"primitives": [primitive], "name": name}));
    }
    let (views, bytes) = joined(&parts, jpeg);
    let finish = json!({"baseColorTexture": {"index": 0}, "metallicFactor": 0, "roughnessFactor": rough});
    let scene =
        json!({"nodes": (0..nodes.len()).collect::<Vec<_>>(), "name": if title.is_empty() { "relief" } else { title }});
    let json = json!({
        "asset": {"version": "2.0", "generator": "spelk"},
        "scene": 0, "scenes": [scene], "nodes": nodes, "meshes": meshes, "accessors": accessors,
        "materials": [{"name": "wood", "pbrMetallicRoughness": finish}],
        "textures": [{"source": 0, "sampler": 0}],
        "samplers": [{"magFilter": 9729, "minFilter": 9987, "wrapS": 33071, "wrapT": 33071}],
        "images": [{"bufferView": 4, "mimeType": "image/jpeg"}],
        "bufferViews": views, "buffers": [{"byteLength": bytes.len()}],
    });
    packed(json.to_string().into_bytes(), bytes)
}

fn accessors_of(body: &Body, parts: &[Vec<u8>; 4]) -> [Value; 4] {
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
fn joined(parts: &[Vec<u8>; 4], jpeg: &[u8]) -> (Vec<Value>, Vec<u8>) {
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
    put(jpeg, json!({}));
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
