//! A review as a page shows it.

mod bodies;
mod curves;
pub(crate) mod rows;
mod solids;

use review::{Review, Text};

use crate::tell;
use crate::wire::{GroundPlane, Page, ProblemText, Saved, SheetHead, View};

pub use bodies::{Mesh, meshes};

/// What a view says beside the review.
#[derive(Clone, Debug)]
pub struct Standing {
    /// Number of the state in the history.
    pub state: i64,
    /// Number of the trial.
    pub trial: Option<u32>,
    /// Name of the file.
    pub file: String,
    /// Whether the file says what is shown.
    pub saved: Saved,
    /// Steps that can be taken back, and made again.
    pub steps: [u32; 2],
    /// What would be taken back.
    pub undo_what: String,
    /// Remarks.
    pub problems: Vec<ProblemText>,
    /// The measured sheet.
    pub sheet: SheetHead,
    /// The answer to [`Word::Build`](crate::wire::Word::Build) of the state before, for as long as this one's is being worked out.
    pub before: Option<Page>,
}

/// Makes a view; its bodies are told without numbers.
pub fn view(r: &Review, bodies: &[Mesh], s: Standing) -> View {
    let t = Text::new(&r.shape.design);
    let summary = review::summary(r);
    let facts = vec![
        review::text::counted(summary.tubes, "tube"),
        t.mass(summary.frame_kg),
        format!("{} laden", t.mass(summary.laden_kg)),
    ];
    let d = &r.shape.design;
    let pages = tell::pages(r, &s);
    View {
        state: s.state,
        trial: s.trial,
        file: s.file,
        name: d.name.clone(),
        unit: t.unit().to_owned(),
        unit_size: match d.units {
            design::Units::Mm => 1e-3,
            design::Units::In => 0.0254,
        },
        step: d.limits.round,
        saved: s.saved,
        sheet: s.sheet,
        undo: s.steps[0],
        undo_what: s.undo_what,
        redo: s.steps[1],
        facts,
        problems: s.problems,
        points: rows::points(r),
        tubes: rows::tubes(r, &t),
        curves: curves::rows(r, &t),
        sections: rows::sections(r, &t),
        bodies: bodies.iter().map(Mesh::head).collect(),
        solids: solids::solids(r),
        grounds: r
            .stance
            .stances
            .iter()
            .filter_map(|s| {
                let g = s.ground.as_ref()?;
                Some(GroundPlane { stance: s.name.clone(), normal: g.normal.to_array(), height: g.height })
            })
            .collect(),
        datum: r.shape.datum,
        datum_words: rows::datum(d),
        pages,
        settled: r.settled(),
    }
}
