//! What is done in the shop, kept.

use build::{Event, Record, RecordError};
use design::units::{Quantity, read_length};

use super::Keeper;
use crate::wire::{Measured, Operation, ShopAsk, ShopEvent, ShopNews, Tick};
