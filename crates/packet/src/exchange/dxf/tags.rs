//! The form's tagged text: a code on one line, its value on the next.

use design::units::{Unit, decimal_text};
use geometry::DVec3;

/// Handles that others refer to.
pub mod handle {
    /// The table of blocks.
    pub const BLOCK_RECORDS: u32 = 0x1;
    /// The block of the drawing itself.
    pub const MODEL: u32 = 0x2;
    /// The block of the paper.
    pub const PAPER: u32 = 0x3;
    /// The list of lists.
    pub const ROOT: u32 = 0x4;
    /// The list of groups.
    pub const GROUPS: u32 = 0x5;
    /// Any after it are free.
    pub const FIRST_FREE: u32 = 0x10;
}

/// Tagged text, and the next handle that is free.
pub struct Tags {
    /// What was written.
    pub text: String,
    free: u32,
}

impl Default for Tags {
    fn default() -> Tags {
        Tags { text: String::new(), free: handle::FIRST_FREE }
    }
}

impl Tags {
    /// A code and its value.
    pub fn tag(&mut self, code: i32, value: &str) {
        self.text += &format!("{code:>3}\n{value}\n");
    }

    /// Several of them.
    pub fn tags(&mut self, list: &[(i32, &str)]) {
        for (code, value) in list {
            self.tag(*code, value);
        }
    }

    /// A number to a thousandth of a micrometre of a drawing in mm.
    pub fn number(&mut self, code: i32, v: f64) {
        self.tag(code, &format!("{v:.6}"));
    }

    /// A number to the last bit: the shortest text that is read as the same one.
    pub fn exact(&mut self, code: i32, v: f64) {
        // Nothing has no sign, and the form writes a large E.
        self.tag(code, &format!("{:?}", v + 0.0).replace('e', "E"));
    }

    /// A direction to the last bit, at three codes of which this is the first.
    pub fn direction(&mut self, code: i32, d: DVec3) {
        for (k, v) in d.to_array().into_iter().enumerate() {
            self.exact(code + 10 * k as i32, v);
        }
    }

    /// A length in a unit, as the design file would have it.
    pub fn length(&mut self, code: i32, m: f64, unit: Unit) {
        let text = decimal_text(m, unit).replace('e', "E");
        // The form's numbers have a point.
        let whole = !text.contains(['.', 'E']);
        self.tag(code, &if whole { text + ".0" } else { text });
    }

    /// A place in a unit, at three codes of which this is the first.
    pub fn place(&mut self, code: i32, p: DVec3, unit: Unit) {
        for (k, v) in p.to_array().into_iter().enumerate() {
            self.length(code + 10 * k as i32, v, unit);
        }
    }

    /// A handle.
    pub fn handle(&mut self, code: i32, h: u32) {
        self.tag(code, &format!("{h:X}"));
    }

    /// The next handle that is free.
    pub fn new_handle(&mut self) -> u32 {
        self.free += 1;
        self.free - 1
    }

    /// A section of the file.
    pub fn section(&mut self, name: &str, inside: impl FnOnce(&mut Tags)) {
        self.tags(&[(0, "SECTION"), (2, name)]);
        inside(self);
        self.tag(0, "ENDSEC");
    }

    /// A table of records, each with a class, a name and what is its own.
    pub fn table(&mut self, name: &str, handle: u32, records: &[Record]) {
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
    pub fn entity(&mut self, kind: &str, layer: &str, class: &str) {
        self.tag(0, kind);
        let own = self.new_handle();
        self.handle(5, own);
        self.handle(330, handle::MODEL);
        self.tags(&[(100, "AcDbEntity"), (8, layer), (100, class)]);
    }

    /// An empty block.
    pub fn block(&mut self, name: &str, record: u32, paper: bool) {
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
pub struct Record<'a> {
    /// Its handle.
    pub handle: u32,
    /// Its class.
    pub class: &'a str,
    /// Its name.
    pub name: &'a str,
    /// What is its own.
    pub rest: &'a [(i32, &'a str)],
}

/// The form's text is ASCII on one line: other letters are written by their number.
pub fn plain(s: &str) -> String {
    s.chars()
        .map(|c| if c == ' ' || c.is_ascii_graphic() { c.to_string() } else { format!("\\U+{:04X}", u32::from(c)) })
        .collect()
}
