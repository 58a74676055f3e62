//! Flat drawings as DXF.
//!
//! The text form of release 2000 (`AC1015`), the first that tells its units: reduced to the tables, blocks and objects
//! that the published DXF reference asks for, with a light polyline for every line. Nothing in it depends on the day or
//! on chance.

use super::flat::{Drawing, WRITING, bounds};

/// Layers and their colours by the form's index: black or white, grey, blue.
const LAYERS: [(&str, &str); 4] = [("0", "7"), ("cut", "7"), ("contact", "8"), ("mark", "5")];
/// Millimetres, by the form's code.
const MILLIMETRES: &str = "4";
/// Above every handle that [`write`] gives out: a plate has at most a few thousand lines and circles.
const HANDLES_END: &str = "FFFFF";
/// Handles that others refer to.
mod handle {
    pub const BLOCK_RECORDS: u32 = 0x1;
    pub const MODEL: u32 = 0x2;
    pub const PAPER: u32 = 0x3;
    pub const ROOT: u32 = 0x4;
    pub const GROUPS: u32 = 0x5;
    pub const FIRST_FREE: u32 = 0x10;
}

/// Tagged text, and the next handle that is free.
struct Tags {
    text: String,
    free: u32,
}

impl Tags {
    fn tag(&mut self, code: i32, value: &str) {
        self.text += &format!("{code:>3}\n{value}\n");
    }

    fn tags(&mut self, list: &[(i32, &str)]) {
        for (code, value) in list {
            self.tag(*code, value);
        }
    }

    fn number(&mut self, code: i32, v: f64) {
        self.tag(code, &format!("{v:.6}"));
    }

    fn handle(&mut self, code: i32, h: u32) {
        self.tag(code, &format!("{h:X}"));
    }

    fn new_handle(&mut self) -> u32 {
        self.free += 1;
        self.free - 1
    }

    fn section(&mut self, name: &str, inside: impl FnOnce(&mut Tags)) {
        self.tags(&[(0, "SECTION"), (2, name)]);
        inside(self);
        self.tag(0, "ENDSEC");
    }

    /// A table of records, each with a class, a name and what is its own.
    fn table(&mut self, name: &str, handle: u32, records: &[Record]) {
        self.tags(&[(0, "TABLE"), (2, name)]);
        self.handle(5, handle);
        self.tags(&[(330, "0"), (100, "AcDbSymbolTable"), (70, &records.len().to_string())]);
        if name == "DIMSTYLE" {
            self.tag(100, "AcDbDimStyleTable");
        }
        for r in records {
            self.tag(0, name);
            let own = if r.handle == 0 { self.new_handle() } else { r.handle };
            self.handle(5, own);
            self.handle(330, handle);
            self.tags(&[(100, "AcDbSymbolTableRecord"), (100, r.class), (2, r.name)]);
            self.tags(r.rest);
        }
        self.tag(0, "ENDTAB");
    }

    /// Begins an entity of the drawing.
    fn entity(&mut self, kind: &str, layer: &str, class: &str) {
        self.tag(0, kind);
        let own = self.new_handle();
        self.handle(5, own);
        self.handle(330, handle::MODEL);
        self.tags(&[(100, "AcDbEntity"), (8, layer), (100, class)]);
    }

    fn block(&mut self, name: &str, record: u32, paper: bool) {
        for (kind, class) in [("BLOCK", "AcDbBlockBegin"), ("ENDBLK", "AcDbBlockEnd")] {
            self.tag(0, kind);
            let own = self.new_handle();
            self.handle(5, own);
            self.handle(330, record);
            self.tag(100, "AcDbEntity");
            if paper {
                self.tag(67, "1");
            }
            self.tags(&[(8, "0"), (100, class)]);
            if kind == "BLOCK" {
                self.tags(&[(2, name), (70, "0"), (10, "0.0"), (20, "0.0"), (30, "0.0"), (3, name), (1, "")]);
            }
        }
    }
}

/// One record of a table; a handle of 0 is any free one.
struct Record<'a> {
    handle: u32,
    class: &'a str,
    name: &'a str,
    rest: &'a [(i32, &'a str)],
}

/// The form's text is ASCII on one line: other letters are written by their number.
fn plain(s: &str) -> String {
    s.chars()
        .map(|c| if c == ' ' || c.is_ascii_graphic() { c.to_string() } else { format!("\\U+{:04X}", u32::from(c)) })
        .collect()
}

/// Writes a drawing, in millimetres.
pub fn write(d: &Drawing) -> String {
    let mut out = Tags { text: String::new(), free: handle::FIRST_FREE };
    let (lo, hi) = bounds(d);
    out.section("HEADER", |t| {
        t.tags(&[(9, "$ACADVER"), (1, "AC1015"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252")]);
        t.tags(&[(9, "$INSUNITS"), (70, MILLIMETRES), (9, "$MEASUREMENT"), (70, "1")]);
        for (name, at) in [("$EXTMIN", lo), ("$EXTMAX", hi)] {
            t.tag(9, name);
            t.number(10, at.x);
            t.number(20, at.y);
            t.number(30, 0.0);
        }
        t.tags(&[(9, "$HANDSEED"), (5, HANDLES_END)]);
    });
    out.section("CLASSES", |_| {});
    out.section("TABLES", tables);
    out.section("BLOCKS", |t| {
        t.block("*Model_Space", handle::MODEL, false);
        t.block("*Paper_Space", handle::PAPER, true);
    });
    out.section("ENTITIES", |t| entities(t, d));
    out.section("OBJECTS", |t| {
        t.tag(0, "DICTIONARY");
        t.handle(5, handle::ROOT);
        t.tags(&[(330, "0"), (100, "AcDbDictionary"), (281, "1"), (3, "ACAD_GROUP")]);
        t.handle(350, handle::GROUPS);
        t.tag(0, "DICTIONARY");
        t.handle(5, handle::GROUPS);
        t.handle(330, handle::ROOT);
        t.tags(&[(100, "AcDbDictionary"), (281, "1")]);
    });
    out.tag(0, "EOF");
    out.text
}

fn tables(t: &mut Tags) {
    let any = |class, name, rest| Record { handle: 0, class, name, rest };
    let solid: &[(i32, &str)] = &[(70, "0"), (3, ""), (72, "65"), (73, "0"), (40, "0.0")];
    let style: &[(i32, &str)] =
        &[(70, "0"), (40, "0.0"), (41, "1.0"), (50, "0.0"), (71, "0"), (42, "2.5"), (3, "txt"), (4, "")];
    let layers: Vec<[(i32, &str); 3]> = LAYERS.iter().map(|l| [(70, "0"), (62, l.1), (6, "Continuous")]).collect();
    let layers: Vec<Record> =
        LAYERS.iter().zip(&layers).map(|(l, rest)| any("AcDbLayerTableRecord", l.0, rest)).collect();
    let lines = ["ByBlock", "ByLayer", "Continuous"].map(|name| any("AcDbLinetypeTableRecord", name, solid));
    let blocks = [(handle::MODEL, "*Model_Space"), (handle::PAPER, "*Paper_Space")];
    let blocks = blocks.map(|(handle, name)| Record { handle, class: "AcDbBlockTableRecord", name, rest: &[] });
    let named: [(&str, &[Record]); 8] = [
        ("VPORT", &[]),
        ("LTYPE", &lines),
        ("LAYER", &layers),
        ("STYLE", &[any("AcDbTextStyleTableRecord", "Standard", style)]),
        ("VIEW", &[]),
        ("UCS", &[]),
        ("APPID", &[any("AcDbRegAppTableRecord", "ACAD", &[(70, "0")])]),
        ("DIMSTYLE", &[]),
    ];
    for (name, records) in named {
        let own = t.new_handle();
        t.table(name, own, records);
    }
    t.table("BLOCK_RECORD", handle::BLOCK_RECORDS, &blocks);
}

fn entities(t: &mut Tags, d: &Drawing) {
    for l in &d.lines {
        t.entity("LWPOLYLINE", l.layer, "AcDbPolyline");
        t.tag(90, &l.points.len().to_string());
        t.tag(70, if l.closed { "1" } else { "0" });
        for p in &l.points {
            t.number(10, p.x);
            t.number(20, p.y);
        }
    }
    for c in &d.circles {
        t.entity("CIRCLE", c.layer, "AcDbCircle");
        t.number(10, c.centre.x);
        t.number(20, c.centre.y);
        t.number(30, 0.0);
        t.number(40, c.radius);
    }
    for n in &d.notes {
        t.entity("TEXT", "mark", "AcDbText");
        t.number(10, n.at.x);
        t.number(20, n.at.y);
        t.number(30, 0.0);
        t.number(40, WRITING);
        t.tag(1, &plain(&n.words));
        t.tag(100, "AcDbText");
    }
}
