//! Each format gives the triangles that were written, and nothing that is wrong with a file is passed over in silence.

mod common;

use common::{CORNERS, FACES, all};
use mesh::{Edges, Mesh, read};

type Triangle = [[f64; 3]; 3];

/// Triangles by coordinates, each begun at its least corner, in order.
fn soup(m: &Mesh) -> Vec<Triangle> {
    let mut out: Vec<Triangle> = m
        .triangles
        .iter()
        .map(|t| {
            let mut t = t.map(|i| m.vertices[i as usize].to_array());
            let least = (0..3).min_by(|&a, &b| t[a].partial_cmp(&t[b]).unwrap()).unwrap();
            t.rotate_left(least);
            t
        })
        .collect();
    out.sort_by(|a, b| a.partial_cmp(b).unwrap());
    out
}

fn wanted(place: impl Fn([f64; 3]) -> [f64; 3], turned: bool) -> Vec<Triangle> {
    let order = if turned { [0, 2, 1] } else { [0, 1, 2] };
    let mut m = Mesh { vertices: CORNERS.map(|c| place(c).into()).to_vec(), ..Mesh::default() };
    m.triangles = FACES.iter().map(|f| order.map(|k| f[k] as u32)).collect();
    soup(&m)
}

fn refused(bytes: &[u8]) -> String {
    read(bytes).expect_err("it must be refused").0
}

#[test]
fn a_tetrahedron_comes_back_from_each_format() {
    for (what, bytes) in &all()[..3] {
        let m = read(bytes).unwrap_or_else(|e| panic!("{what}: {e}"));
        assert_eq!(soup(&m), wanted(|c| c, false), "{what}");
        assert_eq!(m.edges(), Edges::default(), "{what} is closed and wound one way");
    }
    assert_eq!(read(&common::stl_text()).unwrap().names(), ["nose cone"]);
    assert_eq!(read(&common::obj()).unwrap().names(), ["floor", "rest"]);
}

#[test]
fn nodes_of_a_gltf_are_placed_from_the_root_down_and_mirrored_ones_wound_back() {
    for (what, bytes) in &all()[3..] {
        let m = read(bytes).unwrap_or_else(|e| panic!("{what}: {e}"));
        assert_eq!(m.names(), ["left", "right"], "{what}");
        let left = m.only(&["left".into()]).unwrap();
        assert_eq!(soup(&left), wanted(|[x, y, z]| [x + 10.0, y, z], false), "{what}");
        // Scaled by (1, -1, 2), turned by 90 degrees about z, moved by 10 along x.
        let right = m.only(&["right".into()]).unwrap();
        let want = wanted(|[x, y, z]| [y + 10.0, x, 2.0 * z], true);
        let near = soup(&right)
            .iter()
            .flatten()
            .flatten()
            .zip(want.iter().flatten().flatten())
            .all(|(a, b)| (a - b).abs() < 1e-14);
        assert!(near, "{what}: {:?}", soup(&right));
        assert_eq!(m.only(&["left".into(), "wing".into()]), Err("wing"));
    }
}

#[test]
fn edges_are_told() {
    // Two squares: one of two triangles, one whose second triangle is turned over; and a fin on the first diagonal.
    let obj = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nv 5 0 0\nv 6 0 0\nv 6 1 0\nv 5 1 0\nv 0 0 1\n";
    let flat = read(format!("{obj}f 1 2 3 4\n").as_bytes()).unwrap();
    assert_eq!(flat.edges(), Edges { open: 4, crowded: 0, turned: 0 });
    let turned = read(format!("{obj}f 5 6 7\nf 5 8 7\n").as_bytes()).unwrap();
    assert_eq!(turned.edges(), Edges { open: 4, crowded: 0, turned: 1 });
    let fin = read(format!("{obj}f 1 2 3 4\nf 1 3 9\n").as_bytes()).unwrap();
    assert_eq!(fin.edges(), Edges { open: 6, crowded: 1, turned: 0 });
}

#[test]
fn bad_triangles_are_left_out_and_counted() {
    let obj =
        "v 0 0 0\nv 1 0 0\nv 0 1 0\nv nan 0 0\nv 2 0 0\nv 1e300 0 0\nf 1 2 3\nf 1 2 4\nf 1 2 5\nf 1 1 2\nf 1 3 6\n";
    let m = read(obj.as_bytes()).unwrap();
    assert_eq!((m.triangles.len(), m.dropped.not_numbers, m.dropped.without_area), (1, 2, 2));
    let none = refused(b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n");
    assert!(none.contains("none of its 1 triangles"), "{none}");
    assert!(refused(b"v 0 0 0\nv 1 0 0\nv 2 0 0\n").contains("no triangle"));
}

#[test]
fn what_claims_more_than_it_holds_is_refused_at_once() {
    let mut stl = common::stl_binary();
    stl[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    assert!(refused(&stl).contains("4294967295 triangles"));
    stl[80..84].copy_from_slice(&5u32.to_le_bytes());
    assert!(refused(&stl).contains("claims 5 triangles and holds 4"));
    let text = |from: &str, to: &str| String::from_utf8(common::gltf()).unwrap().replace(from, to).into_bytes();
    assert!(refused(&text("\"count\":12", "\"count\":4000000000")).contains("claims 4000000000 values"));
    assert!(refused(&text("\"byteLength\":72", "\"byteLength\":73")).contains("72 bytes of 73"));
    assert!(refused(&text("\"byteLength\":48", "\"byteLength\":47")).contains("accessor 0"));
    assert!(refused(&text("\"children\":[1,2]", "\"children\":[0]")).contains("circle"));
    assert!(
        refused(&text("\"scene\":0", "\"extensionsRequired\":[\"KHR_draco_mesh_compression\"]")).contains("KHR_draco")
    );
    assert!(refused(&text("data:application", "body.bin?")).contains("another file"));
    assert!(refused(b"f 1 2 3\n").contains("line 1: there is no vertex 1"));
    assert!(refused(b"v 1 2\n").contains("line 1"));
    assert!(refused(b"").contains("empty"));
    assert!(refused(&[b'x'; 3]).contains("no STL, OBJ or glTF"));
    assert!(refused(&[b'x'; 300]).contains("no STL, OBJ or glTF"));
}
