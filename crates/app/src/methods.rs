//! The pages of the methods, held in the program.

/// Names and texts.
const PAGES: &[(&str, &str)] = &[
    ("shape", include_str!("../../../docs/methods/shape.md")),
    ("curves", include_str!("../../../docs/methods/curves.md")),
    ("import", include_str!("../../../docs/methods/import.md")),
    ("stance", include_str!("../../../docs/methods/stance.md")),
    ("rollover", include_str!("../../../docs/methods/rollover.md")),
    ("strength", include_str!("../../../docs/methods/strength.md")),
    ("cutting", include_str!("../../../docs/methods/cutting.md")),
    ("step", include_str!("../../../docs/methods/step.md")),
    ("assembly", include_str!("../../../docs/methods/assembly.md")),
    ("ends", include_str!("../../../docs/methods/ends.md")),
    ("welds", include_str!("../../../docs/methods/welds.md")),
    ("stock", include_str!("../../../docs/methods/stock.md")),
    ("jigs", include_str!("../../../docs/methods/jigs.md")),
    ("rules", include_str!("../../../docs/methods/rules.md")),
    ("build", include_str!("../../../docs/methods/build.md")),
];

/// A page, as Markdown.
pub fn page(name: &str) -> Option<&'static str> {
    PAGES.iter().find(|p| p.0 == name).map(|p| p.1)
}
