//! The page's files, held in the program.

use axum::extract::Path;
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

include!(concat!(env!("OUT_DIR"), "/assets.rs"));

fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("woff2") => "font/woff2",
        Some("png") => "image/png",
        _ => "application/octet-stream",
    }
}

fn file(name: &str) -> Option<&'static [u8]> {
    ASSETS.iter().find(|a| a.0 == name).map(|a| a.1)
}

/// The page.
pub(crate) async fn page() -> Response {
    match file("index.html") {
        Some(bytes) => ([(CONTENT_TYPE, kind("index.html")), (CACHE_CONTROL, "no-cache")], bytes).into_response(),
        None => (
            StatusCode::SERVICE_UNAVAILABLE,
            "This program was built without its page. Build it with: cargo xtask demo",
        )
            .into_response(),
    }
}

/// A file of the page. Their names hold a hash of what they hold.
pub(crate) async fn asset(Path(name): Path<String>) -> Response {
    match file(&format!("assets/{name}")) {
        Some(bytes) => ([(CONTENT_TYPE, kind(&name)), (CACHE_CONTROL, "public, max-age=31536000, immutable")], bytes)
            .into_response(),
        None => (StatusCode::NOT_FOUND, "no such file").into_response(),
    }
}
