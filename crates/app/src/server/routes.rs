//! What can be asked for.

use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::header::{
    CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router, extract::Request};
use review::Review;
use serde::Deserialize;
use tokio::sync::oneshot;

use super::{House, LARGEST, assets, door, live};
use crate::keeper::{Job, Looked};
use crate::wire::ShopAsk;
use crate::{crushed, drive, measure, methods, moved, pieces, print};

/// The page may load nothing but what comes from here.
const POLICY: &str = "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; connect-src 'self' ws:; \
frame-ancestors 'none'; base-uri 'none'; form-action 'self'; object-src 'none'";

/// All routes, behind the door.
pub(crate) fn router(house: House) -> Router {
    Router::new()
        .route("/", get(assets::page))
        .route("/shop", get(assets::page))
        .route("/shop/{piece}", get(assets::page))
        .route("/assets/{name}", get(assets::asset))
        .route("/live", get(live::live))
        .route("/api/pieces", get(all_pieces))
        .route("/api/piece/{name}", get(one_piece))
        .route("/api/shop", get(since).post(shop))
        .route("/api/measure", get(to_measure))
        .route("/api/built", get(as_built))
        .route("/api/history", get(history))
        .route("/api/moved/{load}", get(how_it_moves))
        .route("/api/collapse/{load}", get(how_it_gives))
        .route("/api/drive/{stance}/{over}", get(how_it_drives))
        .route("/api/stock.svg", get(sticks))
        .route("/api/method/{name}", get(method))
        .route("/api/packet", get(packet))
        .layer(middleware::from_fn(headers))
        .layer(middleware::from_fn_with_state(house.clone(), door::guard))
        .layer(DefaultBodyLimit::max(LARGEST))
        .with_state(house)
}

async fn headers(request: Request, next: Next) -> Response {
    let mut answer = next.run(request).await;
    let list: [(HeaderName, &'static str); 3] =
        [(CONTENT_SECURITY_POLICY, POLICY), (X_CONTENT_TYPE_OPTIONS, "nosniff"), (REFERRER_POLICY, "no-referrer")];
    for (name, value) in list {
        answer.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    answer
}

fn gone() -> Response {
    (StatusCode::SERVICE_UNAVAILABLE, "the server is closing").into_response()
}

/// Asks the keeper and waits.
async fn asked<T>(house: &House, job: impl FnOnce(oneshot::Sender<T>) -> Job) -> Result<T, Response> {
    let (to, from) = oneshot::channel();
    house.jobs.send(job(to)).map_err(|_| gone())?;
    from.await.map_err(|_| gone())
}

/// Works something out from the review as it stands, away from the network's threads.
async fn worked<T: Send + 'static>(
    house: &House,
    f: impl FnOnce(&Review, &str) -> T + Send + 'static,
) -> Result<T, Response> {
    looked(house, move |l| f(&l.review, &l.text)).await
}

/// The same from all that is shown.
async fn looked<T: Send + 'static>(
    house: &House,
    f: impl FnOnce(&Looked) -> T + Send + 'static,
) -> Result<T, Response> {
    let all = asked(house, Job::Look).await?;
    tokio::task::spawn_blocking(move || f(&all))
        .await
        .map_err(|_| (StatusCode::INTERNAL_SERVER_ERROR, "this could not be worked out").into_response())
}

fn told<T: IntoResponse>(answer: Result<T, Response>) -> Response {
    answer.map_or_else(|e| e, IntoResponse::into_response)
}

fn missing(what: &str, name: &str) -> Response {
    (StatusCode::NOT_FOUND, format!("there is no {what} called `{name}`")).into_response()
}

async fn all_pieces(State(house): State<House>) -> Response {
    told(worked(&house, |r, _| pieces::cards(r)).await.map(Json))
}

async fn one_piece(State(house): State<House>, Path(name): Path<String>) -> Response {
    let wanted = name.clone();
    match worked(&house, move |r, _| pieces::full(r, &wanted)).await {
        Ok(Some(full)) => Json(full).into_response(),
        Ok(None) => missing("piece", &name),
        Err(e) => e,
    }
}

async fn how_it_moves(State(house): State<House>, Path(load): Path<String>) -> Response {
    let wanted = load.clone();
    match worked(&house, move |r, _| moved::moved(r, &wanted)).await {
        Ok(Some(m)) => Json(m).into_response(),
        Ok(None) => missing("load", &load),
        Err(e) => e,
    }
}

async fn how_it_gives(State(house): State<House>, Path(load): Path<String>) -> Response {
    let wanted = load.clone();
    match worked(&house, move |r, _| crushed::crushed(r, &wanted)).await {
        Ok(Some(c)) => Json(c).into_response(),
        Ok(None) => missing("load pushed past yielding", &load),
        Err(e) => e,
    }
}

async fn how_it_drives(State(house): State<House>, Path((stance, over)): Path<(String, String)>) -> Response {
    let names = (stance.clone(), over.clone());
    match worked(&house, move |r, _| drive::drive(r, &names.0, &names.1)).await {
        Ok(Some(d)) => Json(d).into_response(),
        Ok(None) => missing("way", &format!("{stance} over {over}")),
        Err(e) => e,
    }
}

async fn to_measure(State(house): State<House>) -> Response {
    told(looked(&house, measure::measure).await.map(Json))
}

async fn as_built(State(house): State<House>) -> Response {
    match worked(&house, |r, _| measure::built(r)).await {
        Ok(Some(b)) => Json(b).into_response(),
        Ok(None) => (StatusCode::NOT_FOUND, "nothing was measured").into_response(),
        Err(e) => e,
    }
}

async fn sticks(State(house): State<House>) -> Response {
    told(worked(&house, |r, _| ([(CONTENT_TYPE, "image/svg+xml")], print::sticks(r))).await)
}

async fn method(Path(name): Path<String>) -> Response {
    match methods::page(&name) {
        Some(text) => ([(CONTENT_TYPE, "text/markdown; charset=utf-8")], text).into_response(),
        None => missing("page of the methods", &name),
    }
}

async fn packet(State(house): State<House>) -> Response {
    let (design, link) = (house.design.clone(), house.piece_link());
    match worked(&house, move |_, text| print::packet(&design, text, link)).await {
        Ok(Ok(bytes)) => {
            let head = [(CONTENT_TYPE, "application/pdf"), (CONTENT_DISPOSITION, "inline; filename=\"packet.pdf\"")];
            (head, bytes).into_response()
        }
        Ok(Err(why)) => (StatusCode::UNPROCESSABLE_ENTITY, why).into_response(),
        Err(e) => e,
    }
}

#[derive(Deserialize)]
struct Since {
    #[serde(default)]
    since: i64,
}

async fn since(State(house): State<House>, Query(q): Query<Since>) -> Response {
    told(asked(&house, |to| Job::Since(q.since, to)).await.map(said))
}

async fn shop(State(house): State<House>, Json(ask): Json<ShopAsk>) -> Response {
    told(asked(&house, |to| Job::Shop(ask, to)).await.map(said))
}

#[derive(Deserialize)]
struct Before {
    before: Option<i64>,
}

async fn history(State(house): State<House>, Query(q): Query<Before>) -> Response {
    told(asked(&house, |to| Job::History(q.before, to)).await.map(said))
}

fn said<T: serde::Serialize>(r: Result<T, String>) -> Response {
    match r {
        Ok(v) => Json(v).into_response(),
        Err(why) => (StatusCode::UNPROCESSABLE_ENTITY, why).into_response(),
    }
}
