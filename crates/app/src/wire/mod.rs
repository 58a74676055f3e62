//! What the server and the page say to each other. The page's own types are made from these.

mod ask;
mod measure;
mod page;
mod scene;
mod shop;
mod view;

use schemars::JsonSchema;
use serde::Serialize;

pub use ask::{Ask, ReadingChange, Run};
pub use measure::{
    BuiltFrame, BuiltLine, BuiltPlace, MeasureFace, MeasureLevel, MeasureNext, MeasurePlace, MeasureRow, MeasureSheet,
    ReadingFate, SheetHead, SheetIs,
};
pub use page::{Act, Cell, FindingText, Page, Row, Table, Word};
pub use scene::{BodyHead, BodyKind, GroundPlane, Solid, SolidKind, SolidShape, Stretch};
pub use shop::{
    MeasureTool, Measured, Operation, PieceCard, Reading, RefusedReading, ShopAsk, ShopBuilt, ShopChange, ShopCut,
    ShopEnd, ShopEvent, ShopNews, Tick, Used,
};
pub use view::{AlongBy, CurveRow, PointRow, ProblemText, Saved, SectionRow, TubeRow, View};

/// What the server tells a page.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "told", rename_all = "snake_case")]
pub enum Told {
    /// The whole state, or that of a trial. Comes as a binary message: the length of this JSON as four bytes (little
    /// endian), this JSON filled up with spaces to a multiple of four, then the numbers of the bodies that have changed.
    View(Box<View>),
    /// An asked-for change was made and is on the disk.
    Done {
        /// The number that it was asked with.
        id: u32,
    },
    /// An asked-for change was not made.
    Refused {
        /// The number that it was asked with.
        id: u32,
        /// Why.
        problems: Vec<ProblemText>,
    },
    /// How far a long run is.
    Running {
        /// What runs.
        run: Run,
        /// From 0 to 1.
        part: f64,
    },
    /// A long run has ended: the next view holds what it found.
    Ended {
        /// What ran.
        run: Run,
        /// Why it has no result, if it has none: it was stopped, or could not be done.
        why: Option<String>,
    },
    /// Something was done in the shop.
    Shop(ShopNews),
}

/// Everything that is said, so that the page's types can be made from one schema.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Wire {
    /// From the server.
    pub told: Told,
    /// From the page.
    pub ask: Ask,
    /// From a phone, sent until it is acknowledged.
    pub shop: ShopAsk,
    /// What a phone starts from.
    pub pieces: Vec<PieceCard>,
    /// What a phone measures with.
    pub measure: MeasureSheet,
    /// What is drawn over the design.
    pub built: BuiltFrame,
}
