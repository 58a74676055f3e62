//! All answers of one design, with their findings.

pub mod built;
pub mod curves;
pub mod ends;
pub mod jigs;
pub mod over;
mod pushed;
pub mod rules;
pub mod steel;
mod summary;
pub mod text;
pub mod ways_in;
pub mod welds;

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use cutting::{Cutting, Detail};
use design::Design;
use rollover::under_run::UnderRun;
use shape::mass::{self, MassProperties};
use shape::room::{self, Room};
use shape::skins::Near;
use shape::{Finding, Level, Shape};
use strength::{Depth, Watch};

pub use over::Over;
pub use pushed::pushed;
pub use steel::{CutStick, Made, Steel};
pub use summary::{SkinText, Summary, skins, summary};
pub use text::Text;

use stock::Settings as Saw;

/// Effort of a plan to buy and saw by, and of one that follows a dragged point; see `stock::Settings::limit`.
const FULL: u64 = Saw::FULL;
const LIVE: u64 = Saw::LIVE;

/// A design's answers.
#[derive(Clone, Debug)]
pub struct Review {
    /// The located frame.
    pub shape: Shape,
    /// The frame alone.
    pub frame: MassProperties,
    /// With masses, wheels and occupants.
    pub laden: MassProperties,
    /// How near each tube comes to each skin, the nearest first.
    pub skins: Vec<Near>,
    /// The room round each person, and the ways out.
    pub room: Room,
    /// The design's curves.
    pub curves: Vec<curves::Drawn>,
    /// What they become as legs and bends; not worked out while a point is dragged.
    pub bent: Option<Arc<curves::All>>,
    /// Pieces.
    pub cutting: Cutting,
    /// What is asked of the stock, and what the rack holds.
    pub steel: Steel,
    /// Which stick each piece comes from.
    pub stock: stock::Plan,
    /// How far the steel goes that is here today; not worked out while a point is dragged.
    pub today: Option<stock::Reach>,
    /// What holds it while it is welded; not worked out while a point is dragged.
    pub jigs: Option<Arc<::jigs::Answer>>,
    /// The frame as built, if something was measured.
    pub built: Option<Arc<built::Built>>,
    /// How finely its pieces are worked out.
    pub detail: Detail,
    /// The simplest way to cut each end, and the set-ups; not worked out while a point is dragged.
    pub ends: Option<Arc<ends::Ends>>,
    /// The weld list; not worked out while a point is dragged.
    pub welds: Option<Arc<welds::Welds>>,
    /// Whether each piece goes in at its turn, and how; not worked out while a point is dragged.
    pub ways_in: Option<Arc<Vec<::cutting::assembly::Insertion>>>,
    /// Going over.
    pub over: over::Over,
    /// The ways of an edge over the nose, or why there are none; `None` where `rollover.edge` asks for none.
    pub edge: Option<Result<Vec<UnderRun>, String>>,
    /// How it stands.
    pub stance: stance::Answer,
    /// Stiffness and strength.
    pub strength: strength::Answer,
    /// Rule sets that the design names, held against it.
    pub rules: Vec<rules::Told>,
    /// All findings, worst first.
    pub findings: Vec<Finding>,
}

impl Review {
    /// Plans the steel anew with what the shop has done already.
    pub fn made(&mut self, made: &Made) {
        self.steel = Steel::new(&self.shape, &self.cutting, made, self.steel.settings.limit);
        self.stock = self.steel.plan();
        self.today = self.today.as_ref().and_then(|_| self.steel.reach().ok());
        // Stands may come from what is left of a stick.
        self.jigs = self.jigs.as_ref().map(|_| Arc::new(jigs::jigs(self)));
        self.findings.retain(|f| f.answer != "stock");
        self.findings.extend(steel::findings(&self.shape.design, &self.stock, made));
        self.findings.sort_by_key(|f| f.level);
    }

    /// Lays a sheet of measurements over it, with what the shop has done.
    ///
    /// # Errors
    /// What is wrong with the sheet's syntax.
    pub fn measured(&mut self, sheet: &str, made: &Made) -> Result<(), Vec<design::Problem>> {
        let built = built::built(self, sheet, made)?;
        self.lay(Some(Arc::new(built)));
        Ok(())
    }

    /// Lays the frame as built over it, as it was worked out for the same design before; or takes it away.
    pub fn lay(&mut self, built: Option<Arc<built::Built>>) {
        self.findings.retain(|f| f.answer != "build");
        if let Some(b) = &built {
            self.findings.extend(built::findings(self, b));
            self.findings.sort_by_key(|f| f.level);
        }
        self.built = built;
    }

    /// Whether its pieces and the plan of its steel are those of the packet, and not quick ones that follow a dragged point.
    pub fn settled(&self) -> bool {
        self.detail.fibres >= Detail::SHEET.fibres && self.steel.settings.limit >= FULL
    }

    /// As [`Review::made`], quickly: the plan is to be settled by another review.
    pub fn made_quickly(&mut self, made: &Made) {
        self.steel.settings.limit = LIVE;
        self.made(made);
    }

    /// Whether something must be mended.
    pub fn must_mend(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Mend)
    }
}

/// Works out every answer but those on skins, whose files are not known here: see [`with_skins`]. Problems of the design
/// itself come back with their lines.
pub fn review(design: Arc<Design>, detail: Detail) -> Result<Review, Vec<design::Problem>> {
    Ok(of(shape::resolve(design)?, &[], &Made::default(), detail, depth(detail)))
}

/// What is as fine as sheets has all of strength but collapse, which may take a minute and is asked for by itself.
fn depth(detail: Detail) -> Depth {
    if detail.fibres < Detail::SHEET.fibres { Depth::Live } else { Depth::Full }
}

/// As [`review`], with a mesh for each skin of the design, in order, or why there is none.
pub fn with_skins(
    design: Arc<Design>,
    meshes: &[Result<mesh::Mesh, String>],
    detail: Detail,
) -> Result<Review, Vec<design::Problem>> {
    with_depth(design, meshes, detail, depth(detail))
}

/// As [`with_skins`], with more or less of strength than goes with the detail.
pub fn with_depth(
    design: Arc<Design>,
    meshes: &[Result<mesh::Mesh, String>],
    detail: Detail,
    depth: Depth,
) -> Result<Review, Vec<design::Problem>> {
    with_made(design, meshes, &Made::default(), detail, depth)
}

/// As [`with_depth`], with what the shop has done already.
pub fn with_made(
    design: Arc<Design>,
    meshes: &[Result<mesh::Mesh, String>],
    made: &Made,
    detail: Detail,
    depth: Depth,
) -> Result<Review, Vec<design::Problem>> {
    Ok(of(shape::resolve(design)?.with_skins(meshes), &[], made, detail, depth))
}

/// What the files that a design names hold, or why nothing.
#[derive(Clone, Debug, Default)]
pub struct Given {
    /// A mesh for each skin, in order.
    pub meshes: Vec<Result<mesh::Mesh, String>>,
    /// Points for each curve, in order.
    pub curves: Vec<curves::FilePoints>,
    /// The rule sets that it names, in order.
    pub rules: Vec<rules::Named>,
}

/// As [`with_made`], with all files of the design.
pub fn with_given(
    design: Arc<Design>,
    given: &Given,
    made: &Made,
    detail: Detail,
    depth: Depth,
) -> Result<Review, Vec<design::Problem>> {
    let mut r = of(shape::resolve(design)?.with_skins(&given.meshes), &given.curves, made, detail, depth);
    r.rules = rules::hold(&r, &given.rules);
    let t = Text::new(&r.shape.design);
    r.findings.extend(pair_up(rules::findings(&r, &r.rules, &t)));
    r.findings.sort_by_key(|f| f.level);
    Ok(r)
}

/// Strength alone, with the attitudes in which the car lies, if the design asks for them.
pub fn strength_of(shape: &Shape, depth: Depth) -> strength::Answer {
    strength_watched(shape, depth, NOBODY)
}

/// As [`strength_of`], with somebody who waits for the loads that are pushed past yielding.
pub fn strength_watched(shape: &Shape, depth: Depth, watch: Watch<'_>) -> strength::Answer {
    if shape.design.strength.rest > 0.0 {
        let (over, _) = over::over(shape, &mass::laden(shape));
        return lying(shape, depth, &over, watch);
    }
    strength::watched(shape, depth, &[], watch)
}

/// Nobody waits, and nobody stops it.
const NOBODY: Watch<'static> = {
    static NEVER: AtomicBool = AtomicBool::new(false);
    Watch { told: &|_| {}, stop: &NEVER }
};

/// The design's cases as decks for another solver.
pub fn decks(shape: &Shape) -> (Vec<strength::Deck>, Vec<strength::NoCase>) {
    let attitudes = if shape.design.strength.rest > 0.0 {
        over::lying(shape, &over::over(shape, &mass::laden(shape)).0)
    } else {
        Vec::new()
    };
    strength::decks(shape, &attitudes)
}

fn lying(shape: &Shape, depth: Depth, over: &Over, watch: Watch<'_>) -> strength::Answer {
    let attitudes = over::lying(shape, over);
    let mut answer = strength::watched(shape, depth, &attitudes, watch);
    if attitudes.is_empty() {
        let what = "the car at rest on anything but its wheels is not checked: no such attitude was found";
        let help = "see what `tubewright rollover` says, or leave out `strength.rest`";
        answer.findings.push(shape::Finding::new(shape::Level::NotChecked, "strength", what).help(help));
    }
    answer
}

fn of(shape: Shape, lines: &[curves::FilePoints], made: &Made, detail: Detail, depth: Depth) -> Review {
    let rests = shape.design.strength.rest > 0.0;
    // What is bought and sawn by is planned with all effort.
    let effort = if depth >= Depth::Full && detail.fibres >= Detail::SHEET.fibres { FULL } else { LIVE };
    let (
        (cutting, steel, stock, today, ends, welds, ways_in),
        (((over, over_findings), strength), (stance, (frame, laden), room, skins, mut found)),
    ) = rayon::join(
        || {
            let cutting = cutting::cut(&shape, detail);
            let steel = Steel::new(&shape, &cutting, made, effort);
            let stock = steel.plan();
            let today = (depth >= Depth::Full).then(|| steel.reach().ok()).flatten();
            let full = depth >= Depth::Full;
            let ends = full.then(|| Arc::new(ends::ends(&shape, &cutting)));
            let welds = full.then(|| Arc::new(welds::welds(&shape, &cutting)));
            let ways_in = full.then(|| Arc::new(ways_in::ways_in(&shape, &cutting, detail)));
            (cutting, steel, stock, today, ends, welds, ways_in)
        },
        || {
            rayon::join(
                || {
                    // Strength needs of rollover how the car lies.
                    let over = over::over(&shape, &mass::laden(&shape));
                    let strength =
                        if rests { lying(&shape, depth, &over.0, NOBODY) } else { strength::strength(&shape, depth) };
                    (over, strength)
                },
                || {
                    let masses = (mass::frame(&shape), mass::laden(&shape));
                    let (room, skins) = (room::room(&shape), shape::skins::distances(&shape));
                    (stance::stand(&shape), masses, room, skins, shape.findings())
                },
            )
        },
    );
    found.extend(shape::skins::findings(&shape, &skins));
    found.extend(room.findings.iter().cloned());
    found.extend(cutting.findings.iter().cloned());
    found.extend(over_findings);
    let edge = shape.design.rollover.edge.map(|_| over::edge_over(&shape, &stance));
    found.extend(edge.iter().flat_map(|e| over::edge_findings(e, &shape)));
    found.extend(stance.findings.iter().cloned());
    found.extend(strength.findings.iter().cloned());
    found.extend(steel::findings(&shape.design, &stock, made));
    let curves = curves::drawn(&shape, lines);
    let bent = (depth >= Depth::Full && !curves.is_empty()).then(|| Arc::new(curves::all(&shape, &curves)));
    found.extend(curves::findings(&shape, &curves, bent.as_deref()));
    let findings = Vec::new();
    let mut r = Review {
        shape,
        frame,
        laden,
        skins,
        room,
        curves,
        bent,
        cutting,
        steel,
        stock,
        today,
        jigs: None,
        built: None,
        detail,
        ends,
        welds,
        ways_in,
        over,
        edge,
        stance,
        strength,
        rules: Vec::new(),
        findings,
    };
    found.extend(r.ends.iter().flat_map(|a| ends::findings(&r, a)));
    found.extend(r.welds.iter().flat_map(|a| welds::findings(&r, a)));
    found.extend(r.ways_in.iter().flat_map(|a| ways_in::findings(&r, a)));
    if depth >= Depth::Full {
        let answer = jigs::jigs(&r);
        found.extend(jigs::findings(&answer).cloned());
        r.jigs = Some(Arc::new(answer));
    }
    r.findings = pair_up(found);
    r.findings.sort_by_key(|f| f.level);
    r
}

/// Says once what is found on both sides: a finding whose words differ from an earlier one's only in the twins' marks.
fn pair_up(findings: Vec<Finding>) -> Vec<Finding> {
    let mut out: Vec<Finding> = Vec::new();
    let mut seen = std::collections::BTreeMap::<(Level, String), usize>::new();
    for f in findings {
        let key = (f.level, f.what.replace('~', ""));
        match seen.get(&key) {
            Some(&k) if f.what != out[k].what => {
                let first = &mut out[k];
                if !first.what.ends_with(BOTH) {
                    first.what.push_str(BOTH);
                }
                for t in f.tubes {
                    if !first.tubes.contains(&t) {
                        first.tubes.push(t);
                    }
                }
            }
            _ => {
                seen.entry(key).or_insert(out.len());
                out.push(f);
            }
        }
    }
    out
}

/// What a finding says that holds on both sides.
const BOTH: &str = " (and its mirror image)";
