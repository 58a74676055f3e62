//! The server over the network: who is let in, what it does with requests that make no sense, and its live line.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::sync::mpsc::channel;
use std::time::Duration;

use app::server::{Opening, Server};
use serde_json::{Value, json};
use tungstenite::{Message, WebSocket};

/// Longer than anything here takes on a loaded machine.
const LONG: Duration = Duration::from_secs(60);

struct Open {
    folder: PathBuf,
    address: SocketAddr,
    end: Option<tokio::sync::oneshot::Sender<()>>,
    work: Option<std::thread::JoinHandle<()>>,
}

impl Open {
    fn new(name: &str, design: &str, lan: bool) -> Open {
        let folder = std::env::temp_dir().join(format!("tubewright-server-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join("car.toml"), design).unwrap();
        let path = folder.join("car.toml");
        let (told, address) = channel();
        let (end, ended) = tokio::sync::oneshot::channel::<()>();
        let work = std::thread::spawn(move || {
            let tell = |s: &Server| told.send(s.address).unwrap();
            let wait = async {
                let _ = ended.await;
            };
            app::run(&path, &Opening { lan, port: 0 }, tell, wait).unwrap();
        });
        let mut address = address.recv_timeout(LONG).unwrap();
        address.set_ip([127, 0, 0, 1].into());
        Open { folder, address, end: Some(end), work: Some(work) }
    }

    fn wren(name: &str) -> Open {
        Open::new(name, include_str!("../../../examples/wren.toml"), false)
    }

    /// Sends bytes as they are, and gives the answer's status and body.
    fn raw(&self, bytes: &[u8]) -> (u16, String) {
        let mut s = TcpStream::connect(self.address).unwrap();
        s.set_read_timeout(Some(LONG)).unwrap();
        // The server may close before it has read all.
        let _ = s.write_all(bytes);
        let mut all = Vec::new();
        let _ = s.read_to_end(&mut all);
        let text = String::from_utf8_lossy(&all).into_owned();
        let status = text.split(' ').nth(1).and_then(|c| c.parse().ok()).unwrap_or(0);
        (status, text.split_once("\r\n\r\n").map_or(String::new(), |b| b.1.to_owned()))
    }

    fn get(&self, path: &str) -> (u16, String) {
        self.raw(format!("GET {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", self.address).as_bytes())
    }

    fn post(&self, path: &str, body: &str, more: &str) -> (u16, String) {
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: {}\r\n{more}\r\n",
            self.address,
            body.len()
        );
        self.raw(format!("{head}{body}").as_bytes())
    }

    fn live(&self) -> WebSocket<TcpStream> {
        let s = TcpStream::connect(self.address).unwrap();
        s.set_read_timeout(Some(LONG)).unwrap();
        tungstenite::client(format!("ws://{}/live", self.address), s).unwrap().0
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        let _ = self.end.take().map(|e| e.send(()));
        let _ = self.work.take().map(std::thread::JoinHandle::join);
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// A view, and how many bytes of numbers came with it.
fn view(m: &Message) -> Option<(Value, usize)> {
    let Message::Binary(b) = m else { return None };
    let n = u32::from_le_bytes(b[..4].try_into().unwrap()) as usize;
    assert_eq!(n % 4, 0);
    let v: Value = serde_json::from_slice(&b[4..4 + n]).unwrap();
    assert_eq!(v["told"], "view");
    Some((v, b.len() - 4 - n))
}

fn next_view(s: &mut WebSocket<TcpStream>, is: impl Fn(&Value) -> bool) -> (Value, usize) {
    loop {
        if let Some(v) = view(&s.read().unwrap()).filter(|v| is(&v.0)) {
            return v;
        }
    }
}

#[test]
fn requests_that_make_no_sense_are_refused_and_the_server_goes_on() {
    let open = Open::wren("nonsense");
    let (host, long) = (open.address, "x".repeat(2 << 20));
    let ask = |s: String| open.raw(s.as_bytes()).0;
    assert_eq!(open.raw(b"\x00\xff\xfe garbage\r\n\r\n").0, 400);
    assert_eq!(ask(format!("GET / HTTP/9.9\r\nHost: {host}\r\n\r\n")), 400);
    assert_eq!(ask(format!("GET / HTTP/1.1\r\nHost: {host}\r\nX: {long}\r\n\r\n")), 431);
    assert_eq!(ask("GET / HTTP/1.1\r\nHost: elsewhere.example\r\nConnection: close\r\n\r\n".into()), 421);
    assert_eq!(ask("GET /api/pieces HTTP/1.1\r\nConnection: close\r\n\r\n".into()), 421);
    assert_eq!(open.post("/api/shop", "{", ""), (400, open.post("/api/shop", "{", "").1));
    assert_eq!(open.post("/api/shop", "{\"ticks\": 3}", "").0, 422);
    assert_eq!(open.post("/api/shop", &format!("{{\"ticks\": [], \"x\": \"{long}\"}}"), "").0, 413);
    assert_eq!(open.post("/api/shop", "{}", "Origin: http://elsewhere.example\r\n").0, 403);
    assert_eq!(open.get("/api/shop?since=over%00there").0, 400);
    assert_eq!(open.get("/api/piece/no_such").0, 404);
    assert_eq!(open.get("/api/moved/%ff%fe").0, 400);
    // A line that is cut in the middle of a request, and one that says nothing.
    let mut s = TcpStream::connect(open.address).unwrap();
    s.write_all(b"POST /api/shop HTTP/1.1\r\nContent-Length: 100\r\n").unwrap();
    drop(s);
    let _idle = TcpStream::connect(open.address).unwrap();
    let mut live = open.live();
    for nonsense in ["", "{}", "[1, 2]", "{\"ask\": \"fly\"}", "{\"ask\": \"undo\", \"id\": -1}"] {
        live.send(Message::Text(nonsense.into())).unwrap();
        loop {
            if let Message::Text(t) = live.read().unwrap() {
                let v: Value = serde_json::from_str(&t).unwrap();
                assert_eq!(v["told"], "refused", "{nonsense}: {t}");
                break;
            }
        }
    }
    live.send(Message::Binary(vec![0, 1, 2].into())).unwrap();
    assert_eq!(open.get("/api/pieces").0, 200);
}

#[test]
fn nothing_outside_the_program_and_the_design_is_read() {
    let open = Open::wren("outside");
    std::fs::write(open.folder.join("secret.txt"), "secret").unwrap();
    for path in [
        "/car.toml",
        "/secret.txt",
        "/assets/../secret.txt",
        "/assets/..%2fsecret.txt",
        "/assets/%2e%2e/%2e%2e/secret.txt",
        "/assets//etc/passwd",
        "/api/method/..%2f..%2fplan",
        "/api/method/%2fetc%2fpasswd",
        "/api/piece/..%2f..%2fsecret.txt",
        "//etc/passwd",
        "/car.record.db",
    ] {
        let (status, body) = open.get(path);
        assert_eq!(status, 404, "{path}");
        assert!(!body.contains("secret") || body.contains("no piece") || body.contains("called"), "{path}: {body}");
    }
    // A skin may name a file in the design's folder and below, no other: the design's own reader sees to that, so a design
    // that is changed from the page is refused.
    let mut live = open.live();
    let edit = json!({
        "edit": "set_key", "table": "skin", "name": "body", "key": ["file"], "value": { "text": "../../../etc/passwd" },
    });
    live.send(Message::Text(
        json!({ "ask": "do", "id": 5, "edits": [edit], "what": "x", "who": "" }).to_string().into(),
    ))
    .unwrap();
    loop {
        if let Message::Text(t) = live.read().unwrap() {
            let v: Value = serde_json::from_str(&t).unwrap();
            assert_eq!((v["told"].as_str(), v["id"].as_u64()), (Some("refused"), Some(5)), "{t}");
            break;
        }
    }
}

#[test]
fn every_answer_says_what_the_page_may_load() {
    let open = Open::wren("headers");
    let mut s = TcpStream::connect(open.address).unwrap();
    s.write_all(format!("GET /api/pieces HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", open.address).as_bytes())
        .unwrap();
    let mut all = String::new();
    s.read_to_string(&mut all).unwrap();
    let head = all.split("\r\n\r\n").next().unwrap().to_lowercase();
    assert!(head.contains("content-security-policy: default-src 'self'"));
    assert!(head.contains("x-content-type-options: nosniff"));
    assert!(!head.contains("access-control-allow-origin"));
}

#[test]
fn a_view_comes_whole_first_and_then_only_with_the_bodies_that_changed() {
    let open = Open::wren("bodies");
    let mut live = open.live();
    let (first, numbers) = next_view(&mut live, |_| true);
    let bodies = first["bodies"].as_array().unwrap();
    let sent: usize = bodies
        .iter()
        .map(|b| {
            let s = &b["sent"];
            12 * (s["points"].as_u64().unwrap() + s["triangles"].as_u64().unwrap()) as usize
        })
        .sum();
    assert_eq!(sent, numbers);
    let p =
        first["points"].as_array().unwrap().iter().find(|p| p["free"] == true && p["tubes"][0].is_string()).unwrap();
    let mut to: Vec<f64> = p["at"].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect();
    to[2] += 0.0127;
    let edit = json!({ "edit": "set_point", "point": p["name"], "at": to });
    live.send(Message::Text(json!({ "ask": "try", "id": 9, "edits": [edit] }).to_string().into())).unwrap();
    let (tried, fewer) = next_view(&mut live, |v| v["trial"] == 9);
    let moved: Vec<&Value> = tried["bodies"].as_array().unwrap().iter().filter(|b| !b["sent"].is_null()).collect();
    assert!(!moved.is_empty() && moved.len() < bodies.len() && fewer < numbers);
    for t in p["tubes"].as_array().unwrap() {
        assert!(moved.iter().any(|b| b["name"] == *t), "{t}");
    }
    // Let go: the old bodies again.
    live.send(Message::Text(json!({ "ask": "let_go" }).to_string().into())).unwrap();
    let (back, _) = next_view(&mut live, |v| v["trial"].is_null());
    let keys = |v: &Value| -> Vec<Value> { v["bodies"].as_array().unwrap().iter().map(|b| b["key"].clone()).collect() };
    assert_eq!(keys(&back), keys(&first));
}

#[test]
fn a_body_that_was_gone_is_sent_again_when_it_comes_back() {
    let open = Open::wren("gone");
    let mut live = open.live();
    let (first, _) = next_view(&mut live, |_| true);
    let names = |v: &Value, sent: bool| -> Vec<String> {
        let all = v["bodies"].as_array().unwrap().iter();
        all.filter(|b| !sent || !b["sent"].is_null()).map(|b| b["name"].as_str().unwrap().to_owned()).collect()
    };
    let edit = json!({ "edit": "remove_tube", "tube": "cross_8" });
    live.send(Message::Text(
        json!({ "ask": "do", "id": 1, "edits": [edit], "what": "", "who": "" }).to_string().into(),
    ))
    .unwrap();
    let (without, _) = next_view(&mut live, |v| v["state"] != first["state"]);
    assert!(
        names(&first, true).contains(&"cross_8".to_owned()) && !names(&without, false).contains(&"cross_8".to_owned())
    );
    // The page has forgotten it meanwhile.
    live.send(Message::Text(json!({ "ask": "undo", "id": 2 }).to_string().into())).unwrap();
    let (back, _) = next_view(&mut live, |v| v["state"] == first["state"]);
    assert!(names(&back, true).contains(&"cross_8".to_owned()));
}

#[test]
fn what_a_phone_sends_twice_counts_once_and_others_hear_of_it() {
    let open = Open::wren("shop");
    let mut live = open.live();
    next_view(&mut live, |_| true);
    let (_, pieces) = open.get("/api/pieces");
    assert!(!pieces.is_empty());
    let ask = json!({
        "ticks": [{ "id": "a", "piece": "sill", "operation": "cut", "done": true, "who": "Ida", "at": 1 }],
        "measured": [{ "id": "b", "piece": "sill", "what": "over long points", "text": "33 15/16", "who": "", "at": 2 }],
    })
    .to_string();
    let (status, first) = open.post("/api/shop", &ask, "");
    assert_eq!(status, 200, "{first}");
    loop {
        if let Message::Text(t) = live.read().unwrap() {
            let v: Value = serde_json::from_str(&t).unwrap();
            if v["told"] == "shop" {
                assert_eq!(v["events"].as_array().unwrap().len(), 2);
                break;
            }
        }
    }
    assert_eq!(open.post("/api/shop", &ask, "").0, 200);
    let (_, all) = open.get("/api/shop?since=0");
    let all: Value = serde_json::from_str(&all[all.find('{').unwrap()..=all.rfind('}').unwrap()]).unwrap();
    assert_eq!((all["number"].as_i64(), all["events"].as_array().unwrap().len()), (Some(2), 2));
    // A length that is none is told, and keeps nothing of what came with it.
    let bad = json!({
        "measured": [{ "id": "c", "piece": "sill", "what": "over long points", "text": "a bit", "who": "", "at": 3 }],
        "ticks": [{ "id": "d", "piece": "sill", "operation": "bent", "done": true, "who": "", "at": 3 }],
    });
    let (status, why) = open.post("/api/shop", &bad.to_string(), "");
    assert!(status == 422 && why.contains("a bit"), "{status} {why}");
    assert!(open.get("/api/shop?since=2").1.contains("\"events\":[]"));
}

#[test]
fn another_address_of_this_machine_needs_the_token_once_and_then_its_cookie() {
    let open = Open::new("token", include_str!("../../../examples/wren.toml"), true);
    // Nothing is sent: the address is kept for documentation (RFC 5737).
    let own =
        std::net::UdpSocket::bind("0.0.0.0:0").and_then(|s| s.connect("192.0.2.1:9").and_then(|()| s.local_addr()));
    let Ok(own) = own else { return };
    let host = SocketAddr::new(own.ip(), open.address.port());
    let ask = |path: &str, more: &str| {
        let mut s = TcpStream::connect(host).unwrap();
        s.set_read_timeout(Some(LONG)).unwrap();
        s.write_all(format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{more}\r\n").as_bytes())
            .unwrap();
        let mut all = String::new();
        s.read_to_string(&mut all).unwrap();
        (all.split(' ').nth(1).unwrap().parse::<u16>().unwrap(), all)
    };
    assert_eq!(ask("/api/pieces", "").0, 401);
    assert_eq!(ask("/shop?token=0123", "").0, 401);
    assert_eq!(ask("/live", "").0, 401);
    let record = build::Record::open(&open.folder.join("car.record.db")).unwrap();
    let token = record.setting("token").unwrap().unwrap();
    let (status, answer) = ask(&format!("/shop/rail?token={token}"), "");
    assert_eq!(status, 303);
    assert!(
        answer.contains("location: /shop/rail\r\n")
            && answer.contains("HttpOnly")
            && answer.contains("SameSite=Strict")
    );
    assert_eq!(ask("/api/pieces", &format!("Cookie: tubewright={token}\r\n")).0, 200);
    assert_eq!(ask("/api/pieces", &format!("Cookie: tubewright={}\r\n", &token[1..])).0, 401);
}
