//! The documents and exchange files for the shop.
