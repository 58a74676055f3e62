//! The page: a server on this machine that shows one design in a browser, follows every change of it, and lets phones
//! in the shop tick off what is done.

mod crushed;
pub mod curves;
mod drive;
pub mod files;
pub mod keeper;
pub mod made;
mod measure;
pub mod measured;
mod methods;
mod moved;
mod pieces;
mod print;
mod run;
pub mod server;
pub mod skins;
mod tell;
pub mod view;
pub mod watch;
pub mod wire;

pub use run::{interrupted, run};
