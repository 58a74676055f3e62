//! Tables of points and lines.

use draft::table::read;
use drawing::{Form, Span};
use geometry::DVec3;

fn spans(text: &[&str]) -> Vec<(String, Option<String>, Vec<Span>)> {
    let d = read(text).unwrap_or_else(|p| panic!("{p:?}"));
    d.drawn
        .into_iter()
        .map(|d| match d.form {
            Form::Spans(s) => (d.layer, d.name, s),
            Form::Curve(_) => panic!(),
        })
        .collect()
}

fn line(a: [f64; 3], b: [f64; 3]) -> Span {
    Span::Line { from: DVec3::from(a), to: DVec3::from(b) }
}

#[test]
fn lines_by_their_ends() {
    let s = spans(&["Name,Layer,X1,Y1,Z1,X2,Y2,Z2\nsill,rail,0,1,2,3,4,5\n\n# a remark\n,brace,0,0,0,1e2,0,-7.5\n"]);
    assert_eq!(s[0], ("rail".into(), Some("sill".into()), vec![line([0., 1., 2.], [3., 4., 5.])]));
    assert_eq!(s[1], ("brace".into(), None, vec![line([0., 0., 0.], [100., 0., -7.5])]));
    let s = spans(&["x1;y1;z1;x2;y2;z2\n0,5;1;2;3;4;5,25\n"]);
    assert_eq!(s[0].2, vec![line([0.5, 1., 2.], [3., 4., 5.25])]);
}

#[test]
fn polylines_by_rows() {
    let s = spans(&["line\tx\ty\tz\na\t0\t0\t0\nb\t9\t9\t9\na\t1\t0\t0\nb\t9\t9\t8\na\t1\t1\t0\n"]);
    assert_eq!(s.len(), 2);
    assert_eq!(s[0].2, vec![line([0., 0., 0.], [1., 0., 0.]), line([1., 0., 0.], [1., 1., 0.])]);
    assert_eq!(s[1].2, vec![line([9., 9., 9.], [9., 9., 8.])]);
}

#[test]
fn points_and_lines_in_either_order_of_tables() {
    let (points, lines) = ("name,x,y,z\np1,0,0,0\np2,1,0,0\n", "from,to,section\np1,p2,hoop\n");
    for tables in [[points, lines], [lines, points]] {
        let d = read(&tables).unwrap();
        assert_eq!((d.drawn.len(), d.places.len(), d.drawn[0].layer.as_str()), (1, 2, "hoop"));
    }
}

#[test]
fn what_is_wrong_is_told_with_its_table() {
    let words = |tables: &[&str]| {
        let list = read(tables).unwrap_err();
        list.into_iter().map(|(k, p)| format!("{k}: {p:?}")).collect::<Vec<_>>().join("\n")
    };
    assert!(words(&["name,x,y,z\np1,0,0,0\n"]).contains("alone make no tubes"));
    assert!(words(&["a,b\n1,2\n"]).contains("columns do not tell"));
    assert!(words(&["name,x,y,z\nfoot,0,0,0\n", "from,to\nfoto,foot\n"]).contains("did you mean `foot`"));
    assert!(words(&["name,x,y,z\nfoot,0,0,0\nfoot,1,0,0\n"]).contains("two points"));
    assert!(words(&["x1,y1,z1,x2,y2,z2\n0,0,0,1,zero,0\n"]).contains("`zero` is no number"));
    assert!(words(&["x1,y1,z1,x2,y2,z2\n0,0,0,1,,0\n"]).contains("nothing under y2"));
    assert!(words(&["from,to\na,\n"]).contains("needs"));
    assert!(words(&[""]).contains("empty"));
    assert!(words(&["x1,y1,z1,x2,y2,z2\n"]).contains("no rows"));
}
