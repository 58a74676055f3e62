//! Small files, written by hand.

/// A tetrahedron with its right angle at the origin: corners and triangles, normals outward.
pub const CORNERS: [[f64; 3]; 4] = [[0.0, 0.0, 0.0], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 5.0]];
/// Its triangles.
pub const FACES: [[usize; 3]; 4] = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];

/// As a binary STL.
pub fn stl_binary() -> Vec<u8> {
    // Many programs begin the 80 free bytes with the word that a text file begins with.
    let mut out = b"solid of no text".to_vec();
    out.resize(80, 0);
    out.extend(4u32.to_le_bytes());
    for f in FACES {
        out.extend([0; 12]);
        for v in f.iter().flat_map(|&i| CORNERS[i]) {
            out.extend((v as f32).to_le_bytes());
        }
        out.extend([0; 2]);
    }
    out
}

/// As a text STL.
pub fn stl_text() -> Vec<u8> {
    let mut out = String::from("solid nose cone\n");
    for f in FACES {
        out += "facet normal 0 0 0\n outer loop\n";
        for i in f {
            let [x, y, z] = CORNERS[i];
            out += &format!("  vertex {x:e} {y} {z}\n");
        }
        out += " endloop\nendfacet\n";
    }
    (out + "endsolid nose cone\n").into_bytes()
}

/// As an OBJ: two groups, counted from the front and from the back.
pub fn obj() -> Vec<u8> {
    let mut out = String::from("# by hand\nmtllib none.mtl\no cone\n");
    for [x, y, z] in CORNERS {
        out += &format!("v {x} {y} {z}\n");
    }
    out += "vn 0 0 1\ng floor\nf 1//1 3//1 2//1\ng rest\nf 1 2 4\nf 1/9 4/9 3/9\nf -3 -2 -1\n";
    out.into_bytes()
}

/// The data of a glTF: four corners in single precision, twelve indices in two bytes each.
fn data() -> Vec<u8> {
    let mut out: Vec<u8> = CORNERS.iter().flatten().flat_map(|v| (*v as f32).to_le_bytes()).collect();
    out.extend(FACES.iter().flatten().flat_map(|i| (*i as u16).to_le_bytes()));
    out
}

/// Its JSON; `uri` names the buffer's data.
fn json(uri: &str) -> String {
    format!(
        r#"{{"asset":{{"version":"2.0"}},"scene":0,"scenes":[{{"nodes":[0]}}],
"nodes":[{{"name":"car","translation":[10,0,0],"children":[1,2]}},{{"name":"left","mesh":0}},
{{"name":"right","mesh":0,"rotation":[0,0,0.7071067811865476,0.7071067811865476],"scale":[1,-1,2]}}],
"meshes":[{{"name":"cone","primitives":[{{"attributes":{{"POSITION":0}},"indices":1}}]}}],
"accessors":[{{"bufferView":0,"componentType":5126,"count":4,"type":"VEC3"}},
{{"bufferView":1,"componentType":5123,"count":12,"type":"SCALAR"}}],
"bufferViews":[{{"buffer":0,"byteLength":48}},{{"buffer":0,"byteOffset":48,"byteLength":24}}],
"buffers":[{{"byteLength":72{uri}}}]}}"#
    )
}

/// As a GLB.
pub fn glb() -> Vec<u8> {
    let mut json = json("").into_bytes();
    json.resize(json.len().next_multiple_of(4), b' ');
    let data = data();
    let mut out = b"glTF".to_vec();
    out.extend(2u32.to_le_bytes());
    out.extend((12 + 8 + json.len() as u32 + 8 + data.len() as u32).to_le_bytes());
    out.extend((json.len() as u32).to_le_bytes());
    out.extend(b"JSON");
    out.extend(json);
    out.extend((data.len() as u32).to_le_bytes());
    out.extend(b"BIN\0");
    out.extend(data);
    out
}

/// As one JSON.
pub fn gltf() -> Vec<u8> {
    // 72 bytes make whole groups of base64.
    const SIGNS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let text: String = data()
        .chunks(3)
        .flat_map(|c| {
            let n = (u32::from(c[0]) << 16) | (u32::from(c[1]) << 8) | u32::from(c[2]);
            [18, 12, 6, 0].map(|s| SIGNS[(n >> s) as usize & 63] as char)
        })
        .collect();
    json(&format!(r#","uri":"data:application/octet-stream;base64,{text}""#)).into_bytes()
}

/// One of each.
pub fn all() -> [(&'static str, Vec<u8>); 5] {
    [("binary STL", stl_binary()), ("text STL", stl_text()), ("OBJ", obj()), ("GLB", glb()), ("glTF", gltf())]
}
