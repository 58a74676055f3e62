//! Drawings as DXF.
//!
//! The text form of release 2000 (`AC1015`), the first that tells its units: reduced to the tables, blocks and objects
//! that the published DXF reference asks for. Nothing in it depends on the day or on chance.

pub mod centrelines;
mod flat;
mod tags;

pub use flat::write;

use design::units::Unit;
use geometry::DVec3;
use tags::{Record, Tags, handle};

/// What of a drawing is not an entity.
struct Setting<'a> {
    /// Its unit: inches or millimetres.
    unit: Unit,
    /// Layers and their colours by the form's index. There must be one called `0`.
    layers: &'a [(&'a str, &'a str)],
    /// Who adds data of their own to entities, if anyone does.
    adds: &'a [&'a str],
    /// Least and greatest coordinates, m.
    bounds: (DVec3, DVec3),
}

/// A whole file.
fn file(set: &Setting, entities: impl FnOnce(&mut Tags)) -> String {
    let mut body = Tags::default();
    body.section("CLASSES", |_| {});
    body.section("TABLES", |t| tables(t, set));
    body.section("BLOCKS", |t| {
        t.block("*Model_Space", handle::MODEL, false);
        t.block("*Paper_Space", handle::PAPER, true);
    });
    body.section("ENTITIES", entities);
    body.section("OBJECTS", |t| {
        t.tag(0, "DICTIONARY");
        t.handle(5, handle::ROOT);
        t.tags(&[(330, "0"), (100, "AcDbDictionary"), (281, "1"), (3, "ACAD_GROUP")]);
        t.handle(350, handle::GROUPS);
        t.tag(0, "DICTIONARY");
        t.handle(5, handle::GROUPS);
        t.handle(330, handle::ROOT);
        t.tags(&[(100, "AcDbDictionary"), (281, "1")]);
    });
    body.tag(0, "EOF");
    let mut head = Tags::default();
    head.section("HEADER", |t| {
        t.tags(&[(9, "$ACADVER"), (1, "AC1015"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252")]);
        let (units, metric) = if set.unit == Unit::In { ("1", "0") } else { ("4", "1") };
        t.tags(&[(9, "$INSUNITS"), (70, units), (9, "$MEASUREMENT"), (70, metric)]);
        for (name, at) in [("$EXTMIN", set.bounds.0), ("$EXTMAX", set.bounds.1)] {
            t.tag(9, name);
            for (k, v) in at.to_array().into_iter().enumerate() {
                t.length(10 + 10 * k as i32, v, set.unit);
            }
        }
        // Handles from here on are free.
        t.tag(9, "$HANDSEED");
        let seed = body.new_handle();
        t.handle(5, seed);
    });
    head.text + &body.text
}

fn tables(t: &mut Tags, set: &Setting) {
    let any = |class, name, rest| Record { handle: 0, class, name, rest };
    let solid: &[(i32, &str)] = &[(70, "0"), (3, ""), (72, "65"), (73, "0"), (40, "0.0")];
    let style: &[(i32, &str)] =
        &[(70, "0"), (40, "0.0"), (41, "1.0"), (50, "0.0"), (71, "0"), (42, "2.5"), (3, "txt"), (4, "")];
    let layers: Vec<[(i32, &str); 3]> = set.layers.iter().map(|l| [(70, "0"), (62, l.1), (6, "Continuous")]).collect();
    let layers: Vec<Record> =
        set.layers.iter().zip(&layers).map(|(l, rest)| any("AcDbLayerTableRecord", l.0, rest)).collect();
    let lines = ["ByBlock", "ByLayer", "Continuous"].map(|name| any("AcDbLinetypeTableRecord", name, solid));
    let adds = ["ACAD"].iter().chain(set.adds).map(|name| any("AcDbRegAppTableRecord", name, &[(70, "0")]));
    let adds: Vec<Record> = adds.collect();
    let blocks = [(handle::MODEL, "*Model_Space"), (handle::PAPER, "*Paper_Space")];
    let blocks = blocks.map(|(handle, name)| Record { handle, class: "AcDbBlockTableRecord", name, rest: &[] });
    let named: [(&str, &[Record]); 8] = [
        ("VPORT", &[]),
        ("LTYPE", &lines),
        ("LAYER", &layers),
        ("STYLE", &[any("AcDbTextStyleTableRecord", "Standard", style)]),
        ("VIEW", &[]),
        ("UCS", &[]),
        ("APPID", &adds),
        ("DIMSTYLE", &[]),
    ];
    for (name, records) in named {
        let own = t.new_handle();
        t.table(name, own, records);
    }
    t.table("BLOCK_RECORD", handle::BLOCK_RECORDS, &blocks);
}
