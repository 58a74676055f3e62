//! What goes in and what comes out.

use serde::Serialize;

use crate::Problem;

/// One length of tube to be cut.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
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
    /// Plane cuts at its start and end that a neighbour's can share; `None`: a square or shaped end.
    pub mitres: [Option<Mitre>; 2],
    /// May be joined from two parts if no stick is long enough, neither shorter than this, m; `None`: may not.
    pub splittable: Option<f64>,
}

/// A plane cut across the tube at an angle. Two that match can be sawn in one cut: the pieces then share length.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Mitre {
    /// From a square cut, rad, 0 to below a right angle.
    pub angle: f64,
    /// How much longer the piece is at the long point than at the short one: depth of the tube across the cut times
    /// the tangent of the angle, m.
    pub overlap: f64,
    /// Which way across the section the cut leans, rad; half a turn is the same way. `None`: a round tube, which can be
    /// turned as needed.
    pub across: Option<f64>,
}

/// Sticks of one kind.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StickKind {
    /// Name of the section.
    pub section: String,
    /// Length of one, m.
    pub length: f64,
    /// How many are on hand; `None`: can be bought, any number.
    pub count: Option<u32>,
    /// Price of one, or of a metre, in the rack's currency. Those on hand are paid for: their price is not counted.
    pub price: f64,
    /// Where it stands, or its mark.
    pub place: Option<String>,
    /// The price is that of a metre.
    pub per_metre: bool,
    /// What the seller asks for each piece that is cut from one; 0 where the shop saws. Not asked of those on hand.
    pub cut_fee: f64,
    /// Who sells it; a delivery is charged once for all that is bought from one supplier.
    pub supplier: Option<String>,
    /// Ordered and paid for, but not here yet: counts as on hand in a plan, and not in [`crate::reach`].
    pub on_order: bool,
}

impl StickKind {
    /// Price of one stick.
    pub fn each(&self) -> f64 {
        if self.per_metre { self.price * self.length } else { self.price }
    }
}

/// What a supplier asks once per order, whatever is bought.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Delivery {
    /// Who.
    pub supplier: String,
    /// How much.
    pub cost: f64,
}

/// The saw, the seller, and how hard to think.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Settings {
    /// Width of a saw cut, m.
    pub kerf: f64,
    /// Cut off one end of every stick before use, m, its own saw cut included.
    pub trim: f64,
    /// Most steps of the exact part per section, 10 to 25 ns each; 0: quick search and bounds alone. The plan depends on
    /// it, but not on the machine.
    pub limit: u64,
    /// An offcut shorter than this is scrap, m.
    pub least_useful: f64,
    /// Suppliers that charge for delivery.
    pub deliveries: Vec<Delivery>,
}

impl Settings {
    /// A limit for a plan that is made anew with every change of a drawing: a few milliseconds where it is needed.
    pub const LIVE: u64 = 300_000;
    /// A limit for a plan to buy and saw by: one to three seconds per section where all of it is needed.
    pub const FULL: u64 = 100_000_000;

    /// A saw, with the full limit and nothing else.
    pub const fn saw(kerf: f64, trim: f64) -> Self {
        Settings { kerf, trim, limit: Self::FULL, least_useful: 0.0, deliveries: Vec::new() }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self::saw(0.0, 0.0)
    }
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
    /// What is charged for delivery.
    pub deliveries: Vec<Delivery>,
    /// Pieces that are joined from two parts.
    pub joins: Vec<Join>,
    /// Cost of what is bought: sticks, the seller's cuts, deliveries.
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
    /// Cost of the sticks bought and of the seller's cuts, deliveries not counted.
    pub cost: f64,
    /// What no plan can beat; `None` where a piece can't be placed.
    pub bound: Option<Bound>,
    /// Every piece is placed and no plan buys for less, from the same suppliers: the cost equals its bound. Where every
    /// stick to be had is free of charge (no price given), no plan buys less length.
    pub proven: bool,
    /// No plan that costs no more, from the same suppliers, uses fewer sticks.
    pub fewest: bool,
    /// Length of the placed pieces over the length of the sticks used; 0 without sticks.
    pub yielded: f64,
    /// What is left over of the sticks used, longest first; shorter than the least useful length ones too.
    pub offcuts: Vec<Offcut>,
    /// The longest offcut can't be a millimetre longer with the same sticks: proven.
    pub longest_offcut: bool,
    /// Length saved by mitres that share a cut, m; it is part of the offcuts.
    pub nested: f64,
}

/// What no plan can beat.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bound {
    /// Least number of sticks, were the longest taken without regard to price.
    pub sticks: usize,
    /// Least number of sticks of any plan that costs no more than this one.
    pub sticks_at_cost: usize,
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
    /// Not here yet: on order.
    pub on_order: bool,
    /// Price of one of the kind; counted only if bought.
    pub price: f64,
    /// What the seller's cuts of this stick cost.
    pub cut_fees: f64,
    /// Where it stands, if on hand and known.
    pub place: Option<String>,
    /// Cuts from the trimmed end on, in fitting order but where two share a cut: what is not cut yet stays one length, free to be planned anew.
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
    /// Which of its two parts this is, 1 or 2, if it is joined; `None`: the whole piece.
    pub part: Option<u8>,
    /// Laid end for end, so that its mitre meets its neighbour's.
    pub turned: bool,
    /// Length saved because its first cut is also the last one of the piece before, m.
    pub nested: f64,
}

/// A piece that no stick is long enough for, cut in two parts to be joined.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Join {
    /// Index into the pieces given.
    pub piece: usize,
    /// Its name.
    pub name: String,
    /// Lengths of the parts, m; together the piece.
    pub parts: [f64; 2],
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
    /// What the seller's cuts cost besides.
    pub cut_fees: f64,
    /// Who sells it.
    pub supplier: Option<String>,
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
