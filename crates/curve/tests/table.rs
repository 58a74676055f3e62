//! Files of points.

use curve::table::points;
use geometry::DVec3;

#[test]
fn separators_comments_headings() {
    let want = [DVec3::new(0.001, 0.002, 0.003), DVec3::new(-0.0045, 0.0, 1.0)];
    for text in [
        "1,2,3\n-4.5,0,1000\n",
        "1 2 3\n-4.5 0 1e3",
        "x;y;z\r\n1;2;3\r\n-4,5;0;1000;\r\n",
        "\u{feff}# a line\n\nx, y, z\n 1, 2,\t3, # first\n-4.5,0,1000",
        "1\t2\t3\n-4.5\t0\t1000",
    ] {
        let read = points(text, 0.001).unwrap();
        // A thousandth is no binary number: the product's rounding.
        let same = read.len() == want.len() && read.iter().zip(&want).all(|(p, q)| p.distance(*q) < 1e-15);
        assert!(same, "{text:?}: {read:?}");
    }
    assert_eq!(points("", 0.001), Ok(Vec::new()));
    let inches = points("1 2 3\n", 0.0254).unwrap();
    assert!(inches[0].distance(DVec3::new(0.0254, 0.0508, 0.0762)) < 1e-15);
}

#[test]
fn slips_are_told_with_their_line() {
    for (text, line, word) in [
        ("1,2,3\n4,5\n", "line 2", "2 numbers"),
        ("1,2,3\n4,x,6\n", "line 2", "`x`"),
        ("1,2,3\n\n4,NaN,6\n", "line 3", "`NaN`"),
        ("1,2,3\n4,inf,6\n", "line 2", "`inf`"),
        ("x,y,z\na,b,c\n1,2,3\n", "line 2", "`a`"),
        ("7\n", "line 1", "one number"),
        ("1,2,3,4\n", "line 1", "4 numbers"),
        ("1,,3\n", "line 1", "``"),
    ] {
        let e = points(text, 1.0).unwrap_err();
        assert!(e.starts_with(line) && e.contains(word), "{text:?}: {e}");
    }
    let long = "1,2,3\n".repeat(10_001);
    assert!(points(&long, 1.0).unwrap_err().starts_with("line 10001: more than"));
}
