//! What goes in and what comes out.

use serde::Serialize;

use crate::Problem;

/// One length of tube to be cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Piece {
    /// Name, as the shop knows it.
    pub name: String,
    /// Name of its section.
    pub section: String,
    /// What must come off the stick, m: with everything that the ends, the bender's grip and the saw need of it.
    pub length: f64,
    /// A word for the saw, such as where the grip allowance stands.
    pub note: Option<String>,
    /// Place in the fitting order; pieces of one stick are cut in this order.
    pub order: usize,
}

/// Sticks of one kind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StickKind {
    /// Name of the section.
    pub section: String,
    /// Length of one, m.
    pub length: f64,
    /// How many are on hand; `None`: can be bought, any number.
    pub count: Option<u32>,
    /// Price of one, in the rack's currency. Those on hand are paid for: their price is not counted.
    pub price: f64,
    /// Where it stands, or its mark.
    pub place: Option<String>,
}

/// The saw.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Settings {
    /// Width of a saw cut, m.
    pub kerf: f64,
    /// Cut off one end of every stick before use, m, its own saw cut included.
    pub trim: f64,
}

/// Every piece's stick, what that costs, and what no plan can beat.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// One plan per section, in the order in which sections first appear among the pieces.
    pub sections: Vec<SectionPlan>,
    /// What to buy.
    pub purchases: Vec<Purchase>,
    /// What the plan takes from the rack and what stays there, for every kind on hand.
    pub rack: Vec<RackUse>,
    /// Cost of what is bought.
    pub cost: f64,
    /// No plan that places every piece costs less; `None` where some piece can't be placed.
    pub cost_bound: Option<f64>,
    /// Every piece is placed and no plan buys for less.
    pub proven: bool,
    /// What could not be planned, and why.
    pub problems: Vec<Problem>,
}

/// The plan of one section.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SectionPlan {
    /// Name of the section.
    pub section: String,
    /// Sticks in the order in which they are first needed.
    pub sticks: Vec<StickPlan>,
    /// Pieces without a stick: indices into the pieces given.
    pub unplaced: Vec<usize>,
    /// Length of all pieces of the section, placed or not, m.
    pub piece_length: f64,
    /// Length of all sticks used, m.
    pub stick_length: f64,
    /// Cost of the sticks bought.
    pub cost: f64,
    /// What no plan can beat; `None` where a piece can't be placed.
    pub bound: Option<Bound>,
    /// Every piece is placed and no plan buys for less: the cost equals its bound. Where every stick to be had is
    /// free of charge (no price given), no plan buys less length.
    pub proven: bool,
    /// No plan uses fewer sticks, of whatever length: their number equals its bound.
    pub fewest: bool,
    /// Length of the placed pieces over the length of the sticks used; 0 without sticks.
    pub yielded: f64,
    /// What is left over of the sticks used, longest first.
    pub offcuts: Vec<Offcut>,
}

/// What no plan can beat.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bound {
    /// Least number of sticks, were the longest taken without regard to price.
    pub sticks: usize,
    /// Least cost.
    pub cost: f64,
    /// Least number of sticks by length alone: all pieces laid end to end.
    pub sticks_by_length: usize,
    /// Least cost by length alone.
    pub cost_by_length: f64,
}

/// One stick and its cuts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StickPlan {
    /// Index into the stick kinds given.
    pub kind: usize,
    /// Label: a letter per section, a number per stick.
    pub mark: String,
    /// Length, m.
    pub length: f64,
    /// To be bought, as against on hand.
    pub bought: bool,
    /// Price of one of the kind; counted only if bought.
    pub price: f64,
    /// Where it stands, if on hand and known.
    pub place: Option<String>,
    /// Cuts from the trimmed end on, in fitting order: what is not cut yet stays one length, free to be planned anew.
    pub cuts: Vec<Cut>,
    /// Length that becomes sawdust, the trim's own cut not counted, m.
    pub kerfs: f64,
    /// Cut off the end before use, m.
    pub trim: f64,
    /// Left at the far end, m. Trim, pieces, kerfs and this make up the length.
    pub offcut: f64,
}

/// One piece on its stick.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// Index into the pieces given.
    pub piece: usize,
    /// Its name.
    pub name: String,
    /// Where it starts, from the untrimmed end, m.
    pub from: f64,
    /// Where it ends, from the untrimmed end, m.
    pub to: f64,
}

/// What is left of a stick.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Offcut {
    /// Mark of the stick it is left of.
    pub mark: String,
    /// Length, m.
    pub length: f64,
}

/// One line of the purchase list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Purchase {
    /// Index into the stick kinds given.
    pub kind: usize,
    /// Name of the section.
    pub section: String,
    /// Length of one, m.
    pub length: f64,
    /// How many.
    pub count: usize,
    /// Price of one.
    pub price: f64,
    /// Price of all.
    pub cost: f64,
}

/// What becomes of one kind of stick on hand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RackUse {
    /// Index into the stick kinds given.
    pub kind: usize,
    /// Name of the section.
    pub section: String,
    /// Length of one, m.
    pub length: f64,
    /// Where it stands, or its mark.
    pub place: Option<String>,
    /// How many the plan cuts.
    pub used: usize,
    /// How many stay whole.
    pub left: usize,
}
