//! Any bytes are a table or a complaint, and a list of steel or complaints; what is taken into a rack is a design, and is
//! there the second time. Never a panic.
#![no_main]

use design::{Document, Fate, Units, csv, render, starter, steel_list};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = csv::text(bytes) else { return };
    let complain = |p: &[design::Problem]| {
        assert!(!p.is_empty());
        drop(render(p, "fuzz.csv", &text));
    };
    let table = match csv::read(&text) {
        Ok(table) => table,
        Err(p) => return complain(&p),
    };
    for f in table.header.iter().chain(table.rows.iter().flat_map(|r| &r.fields)) {
        assert!(text.get(f.span.clone()).is_some());
    }
    for units in [Units::Mm, Units::In] {
        let mut document = Document::open(&starter(units)).expect("the starter reads");
        match steel_list::read(&table, document.design()) {
            Err(p) => complain(&p),
            Ok(list) => {
                let first = document.take_in(&list).unwrap_or_else(|e| panic!("{}", render(&e.problems, "x", &e.text)));
                assert_eq!(first.len(), list.rows.len());
                let text = document.text().to_owned();
                let again = document.take_in(&list).unwrap_or_else(|e| panic!("{}", render(&e.problems, "x", &e.text)));
                assert!(again.iter().all(|r| r.fate == Fate::There), "{text}");
                assert_eq!(document.text(), text);
            }
        }
    }
});
