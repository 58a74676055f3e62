//! The live line between a page and the keeper.

use std::collections::HashMap;
use std::sync::Arc;
use std::sync::atomic::Ordering;

use axum::body::Bytes;
use axum::extract::State;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::response::Response;
use tokio::sync::{mpsc, watch};

use super::{House, LARGEST};
use crate::keeper::{Client, Job, Shown};
use crate::wire::{Ask, BodyHead, ProblemText, Stretch, Told};

/// Opens the line.
pub(crate) async fn live(State(house): State<House>, up: WebSocketUpgrade) -> Response {
    up.max_message_size(LARGEST).on_upgrade(move |socket| talk(socket, house))
}

async fn talk(mut socket: WebSocket, house: House) {
    let id = house.pages.fetch_add(1, Ordering::Relaxed);
    let (views, mut view) = watch::channel(None);
    let (news, mut told) = mpsc::unbounded_channel();
    if house.jobs.send(Job::Join(id, Client { views, news })).is_err() {
        return;
    }
    let mut known = HashMap::new();
    loop {
        let sent = tokio::select! {
            changed = view.changed() => {
                let latest = view.borrow_and_update().clone();
                match (changed, latest) {
                    (Err(_), _) => break,
                    (Ok(()), None) => Ok(()),
                    (Ok(()), Some(shown)) => match encode(&shown, &mut known) {
                        Ok(bytes) => socket.send(Message::Binary(bytes)).await,
                        Err(_) => break,
                    },
                }
            }
            news = told.recv() => match news.map(|n| serde_json::to_string(&n)) {
                Some(Ok(text)) => socket.send(Message::Text(text.into())).await,
                _ => break,
            },
            asked = socket.recv() => match asked {
                Some(Ok(Message::Text(text))) => match serde_json::from_str::<Ask>(&text) {
                    Ok(ask) => {
                        if house.jobs.send(Job::Ask(id, ask)).is_err() {
                            break;
                        }
                        Ok(())
                    }
                    Err(e) => {
                        let what = format!("the page asked for something that is not known here: {e}");
                        let help = Some("load the page anew: the program may have been renewed".to_owned());
                        let problems = vec![ProblemText { what, line: None, text: String::new(), help }];
                        let told = Told::Refused { id: 0, problems };
                        match serde_json::to_string(&told) {
                            Ok(text) => socket.send(Message::Text(text.into())).await,
                            Err(_) => break,
                        }
                    }
                },
                Some(Ok(Message::Close(_))) | Some(Err(_)) | None => break,
                Some(Ok(_)) => Ok(()),
            },
        };
        if sent.is_err() {
            break;
        }
    }
    let _ = house.jobs.send(Job::Leave(id));
}

/// The message of a view to a page that knows the bodies of the view before, by their keys. Those of this view are known
/// from now on, and no others: the page forgets what is not in a view.
fn encode(shown: &Arc<Shown>, known: &mut HashMap<(String, u8), u64>) -> Result<Bytes, serde_json::Error> {
    let mut numbers: Vec<u8> = Vec::new();
    let mut heads: Vec<BodyHead> = Vec::with_capacity(shown.bodies.len());
    let before = std::mem::take(known);
    for (head, body) in shown.view.bodies.iter().zip(shown.bodies.iter()) {
        let mut head = head.clone();
        let which = (body.name.clone(), body.kind as u8);
        let is_known = before.get(&which) == Some(&body.key);
        known.insert(which, body.key);
        if !is_known {
            head.sent = Some(Stretch {
                start: numbers.len() as u32,
                points: body.points.len() as u32,
                triangles: body.triangles.len() as u32,
            });
            numbers.extend(body.points.iter().flatten().flat_map(|x| x.to_le_bytes()));
            numbers.extend(body.triangles.iter().flatten().flat_map(|i| i.to_le_bytes()));
        }
        heads.push(head);
    }
    let mut view = shown.view.clone();
    view.bodies = heads;
    let mut json = serde_json::to_vec(&Told::View(Box::new(view)))?;
    json.resize(json.len().next_multiple_of(4), b' ');
    let mut out = Vec::with_capacity(4 + json.len() + numbers.len());
    out.extend((json.len() as u32).to_le_bytes());
    out.extend(json);
    out.extend(numbers);
    Ok(out.into())
}
