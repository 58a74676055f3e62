//! OBJ: lines, or the edges of faces.

use drawing::{Form, obj};

#[test]
fn lines_by_group_and_edges_once() {
    let d = obj::read(b"# a\no frame\nv 0 0 0\nv 1 0 0\r\nv 1 1 0\nl 1 2 3\ng braces\nl -1 1\n").unwrap();
    let seen: Vec<(&str, usize)> = d
        .drawn
        .iter()
        .map(|d| match &d.form {
            Form::Spans(s) => (d.layer.as_str(), s.len()),
            Form::Curve(_) => panic!(),
        })
        .collect();
    assert_eq!(seen, [("frame", 2), ("braces", 1)]);
    assert!(d.y_up);
    // Two faces that share an edge have five.
    let d = obj::read(b"v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nf 1/1 2/2 3/3\nf 1 3 4\n").unwrap();
    assert_eq!(d.drawn.len(), 5);
    let d = obj::read(b"v 0 0 0\nv 1 0 0\nv 1 1 0\nl 1 2\nf 1 2 3\n").unwrap();
    assert_eq!((d.drawn.len(), d.left_out[0].count), (1, 3));
}

#[test]
fn what_is_wrong_is_told_with_its_line() {
    for (text, line) in [
        ("v 0 0 0\nl 1 2\n", 2),
        ("v 0 0 0\nl 0 1\n", 2),
        ("v 0 0\n", 1),
        ("v 0 0 nan\n", 1),
        ("v 0 0 0\nl 1\n", 2),
        ("v 0 0 0\nl 1 x\n", 2),
        ("v 0 0 0\nl -2 1\n", 2),
        ("v 0 0 0 \\\n", 1),
        ("l 9223372036854775807 -9223372036854775808\n", 1),
    ] {
        assert_eq!(obj::read(text.as_bytes()).unwrap_err().line, Some(line), "{text}");
    }
}
