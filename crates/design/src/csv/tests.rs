use proptest::prelude::*;

use super::*;

fn table(text: &str) -> Table {
    read(text).unwrap_or_else(|p| panic!("{}", crate::render(&p, "t.csv", text)))
}

fn cells(text: &str) -> Vec<Vec<String>> {
    let t = table(text);
    let texts = |f: &[Field]| f.iter().map(|f| f.text.clone()).collect();
    std::iter::once(texts(&t.header)).chain(t.rows.iter().map(|r| texts(&r.fields))).collect()
}

fn complaint(text: &str) -> String {
    crate::render(&read(text).expect_err("it is wrong"), "t.csv", text)
}

#[test]
fn separators_are_found_out() {
    let want = [["a", "b"], ["1", "2"]];
    for text in ["a,b\n1,2", "a;b\n1;2\n", "a\tb\r\n1\t2\r\n", "sep=;\na;b\n1;2", "\n# x;y\n a , b \n 1 ,\t2 \n"] {
        assert_eq!(cells(text), want, "{text:?}");
    }
    // In a header only what stands outside quotes counts.
    assert_eq!(cells("\"a;b\",c\n1,2")[0], ["a;b", "c"]);
    assert_eq!(cells("\"a,\"\"b\";c\n1;2")[0], ["a,\"b", "c"]);
    assert_eq!(cells("sep=,\na;b\n1;2"), [["a;b"], ["1;2"]]);
}

#[test]
fn quotes_hold_separators_lines_and_quotes() {
    assert_eq!(cells("a,b\n\"1,2\",\"x\r\n\"\"y\"\"\"\n"), [["a", "b"], ["1,2", "x\r\n\"y\""]]);
    assert_eq!(cells("a,b\n \" 1 \" ,\"\"\n"), [["a", "b"], [" 1 ", ""]]);
    // An inch mark is no quote.
    assert_eq!(cells("a,b\n1 3/4\",20' 6\"\n"), [["a", "b"], ["1 3/4\"", "20' 6\""]]);
}

#[test]
fn what_says_nothing_is_passed_over() {
    let t = table("# steel\n\na,b\n\n,\n  \t\n1,2\n  # 3,4\n5\n");
    assert_eq!(t.rows.iter().map(|r| r.line).collect::<Vec<_>>(), [7, 9]);
    assert_eq!(t.rows[1].fields.len(), 1);
    assert!(t.rows[1].get(1).is_none() && t.rows[1].get(7).is_none());
    // Spreadsheets write empty fields to the edge of the sheet.
    assert_eq!(cells("a,b\n1,2,,,\n"), [["a", "b"], ["1", "2"]]);
    assert_eq!(table("a\n\"#1\"\n").rows.len(), 1);
}

#[test]
fn lines_and_places_are_told() {
    let text = "a,b\r\n\"x\ny\",2\r\n3, four \r\n";
    let t = table(text);
    assert_eq!(t.rows.iter().map(|r| r.line).collect::<Vec<_>>(), [2, 4]);
    assert_eq!(&text[t.rows[1].fields[1].span.clone()], "four");
    assert_eq!(&text[t.rows[0].fields[0].span.clone()], "\"x\ny\"");
    assert_eq!(&text[t.rows[1].span()], "3, four");
}

#[test]
fn columns_by_name() {
    let t = table("Cut Fee,section,LENGTH,note,\n1,2,3,4,\n");
    assert_eq!(t.column("cut_fee"), Ok(Some(0)));
    assert_eq!(t.column("length"), Ok(Some(2)));
    assert_eq!(t.column("price"), Ok(None));
    let others: Vec<&str> = t.others(&["cut_fee", "section", "length"]).iter().map(|f| f.text.as_str()).collect();
    assert_eq!(others, ["note"]);
    let twice = table("a,b,A\n1,2,3\n").column("a").expect_err("two of them");
    assert_eq!(twice.span, Some(4..5));
}

#[test]
fn decimal_commas_only_beside_other_separators() {
    let (semicolon, comma) = (table("a;b\n"), table("a,b\n"));
    for (text, want) in [("12,5", "12.5"), ("-0,5 mm", "-0.5 mm"), (",5", ".5"), ("5 ft 1,5 in", "5 ft 1.5 in")] {
        assert_eq!(semicolon.pointed(text), want);
        assert_eq!(comma.pointed(text), text);
    }
    for text in ["1.234,5", "1,234,567", "left, bay", "12,", "7"] {
        assert_eq!(semicolon.pointed(text), text);
    }
}

#[test]
fn what_is_wrong_is_told_with_its_place() {
    let long = complaint("a,b\n1,2\n3,4,5\n6,7,8\n");
    assert!(long.contains("t.csv:3:5") && long.contains("t.csv:4:5") && long.contains("3 fields"), "{long}");
    let open = complaint("a,b\n1,\"2\n3,4\n");
    assert!(open.contains("t.csv:2:3") && open.contains("not closed"), "{open}");
    let after = complaint("a,b\n\"1\" x,2\n");
    assert!(after.contains("t.csv:2:5") && after.contains("after a closing quote"), "{after}");
    for empty in ["", "\n\n", "# nothing\n", ",,\n"] {
        assert!(complaint(empty).contains("empty"), "{empty:?}");
    }
    assert_eq!(read(&"a\n1,2\n".replace("1,2\n", &"1,2\n".repeat(99))).map_err(|p| p.len()), Err(MOST_PROBLEMS));
}

#[test]
fn bytes_become_text() {
    assert_eq!(text(b"\xEF\xBB\xBFa,b\r\n1,2"), Ok("a,b\r\n1,2".into()));
    assert_eq!(text(b"a,b\r1,2\r\n3,4\r"), Ok("a,b\n1,2\r\n3,4\n".into()));
    assert!(text(b"a\nb\xFC").expect_err("no UTF-8").message.contains("line 2"));
    assert!(text(b"\xFF\xFEa\0").expect_err("UTF-16").message.contains("UTF-16"));
    assert!(text(&vec![b' '; LARGEST + 1]).is_err());
}

#[test]
fn no_more_fields_than_there_may_be() {
    let row = format!("{}\n", ",".repeat(999));
    let header = (0..1000).map(|i| i.to_string()).collect::<Vec<_>>().join(",");
    assert!(read(&format!("{header}\n{}", row.repeat(999))).is_ok());
    assert!(complaint(&format!("{header}\n{}", row.repeat(1000))).contains("more than"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    /// What is written after RFC 4180 is read as it was.
    #[test]
    fn round_trip(
        rows in prop::collection::vec(prop::collection::vec("[a-c0,;\t\"\r\n #]{0,5}", 3), 0..5),
        mark in prop::sample::select(vec![",", ";", "\t"]),
        line in prop::sample::select(vec!["\n", "\r\n"]),
    ) {
        let quote = |f: &String| format!("\"{}\"", f.replace('"', "\"\""));
        let mut text = ["x", "y", "z"].join(mark) + line;
        for r in &rows {
            text += &(r.iter().map(quote).collect::<Vec<_>>().join(mark) + line);
        }
        let t = table(&text);
        let said: Vec<Vec<String>> = rows.into_iter().filter(|r| r.iter().any(|f| !f.is_empty())).collect();
        let read: Vec<Vec<String>> = t.rows.iter().map(|r| r.fields.iter().map(|f| f.text.clone()).collect()).collect();
        prop_assert_eq!(read, said);
    }

    /// Any bytes give a table or a complaint, with places that are there.
    #[test]
    fn never_panics(bytes in prop::collection::vec(prop::sample::select(b"a1,;\t\"\r\n# .\xC3\xA9\x00=sep".to_vec()), 0..60)) {
        let Ok(text) = text(&bytes) else { return Ok(()) };
        match read(&text) {
            Ok(t) => {
                for f in t.header.iter().chain(t.rows.iter().flat_map(|r| &r.fields)) {
                    prop_assert!(f.span.start <= text.len());
                    prop_assert!(text.get(f.span.start..f.span.end.min(text.len())).is_some());
                }
                prop_assert!(t.rows.iter().all(|r| r.fields.len() <= t.header.len()));
                prop_assert!(t.rows.iter().all(|r| r.line <= 1 + text.len()));
            }
            Err(p) => {
                prop_assert!(!p.is_empty());
                drop(crate::render(&p, "t.csv", &text));
            }
        }
    }
}
