//! Who may come in.
//!
//! A page of another site could make this browser ask us. So a request must name us as its host (a name of another site
//! that was pointed at this machine is not us), and one that comes from a page must come from ours. From another machine
//! a token is needed: in the link the first time, then in a cookie that scripts can't read.

use std::net::{IpAddr, SocketAddr};

use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::{COOKIE, HOST, LOCATION, ORIGIN, SET_COOKIE};
use axum::http::{HeaderMap, Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::House;

/// Name of the cookie.
const NAME: &str = "tubewright";

/// What is asked of who comes.
#[derive(Debug)]
pub struct Door {
    hosts: Vec<String>,
    lan: Option<SocketAddr>,
    token: Option<String>,
}

impl Door {
    /// For a port, the address that others use, and the token if others may come in at all.
    pub fn new(port: u16, lan: Option<IpAddr>, token: Option<String>) -> Door {
        let mut hosts = vec![format!("127.0.0.1:{port}"), format!("localhost:{port}")];
        let lan = lan.map(|ip| SocketAddr::new(ip, port));
        hosts.extend(lan.map(|a| a.to_string()));
        Door { hosts, lan, token }
    }

    /// The address that other machines reach us by, if they may come in and there is one.
    pub fn lan(&self) -> Option<SocketAddr> {
        self.lan.filter(|_| self.token.is_some())
    }

    /// The token.
    pub fn token(&self) -> Option<&str> {
        self.token.as_deref()
    }

    fn knows(&self, host: &str) -> bool {
        self.hosts.iter().any(|h| h.eq_ignore_ascii_case(host))
    }

    /// Why a request may not come in; `Ok(true)` if it has shown the token in its link and is to be given the cookie.
    fn let_in(&self, from: IpAddr, headers: &HeaderMap, uri: &Uri) -> Result<bool, (StatusCode, &'static str)> {
        let text = |name| headers.get(name).map(|v| v.to_str().unwrap_or("?"));
        if !text(HOST).is_some_and(|h| self.knows(h)) {
            return Err((StatusCode::MISDIRECTED_REQUEST, "this server is not of that name"));
        }
        if let Some(origin) = text(ORIGIN)
            && !origin.strip_prefix("http://").is_some_and(|h| self.knows(h))
        {
            return Err((StatusCode::FORBIDDEN, "asked for by a page that is not of this server"));
        }
        if from.is_loopback() {
            return Ok(false);
        }
        let Some(token) = &self.token else {
            return Err((StatusCode::FORBIDDEN, "open on its own machine only"));
        };
        let shown = uri.query().and_then(|q| q.split('&').find_map(|p| p.strip_prefix("token=")));
        if shown.is_some_and(|s| same(s, token)) {
            return Ok(true);
        }
        let cookies = headers.get_all(COOKIE).iter().filter_map(|v| v.to_str().ok()).flat_map(|v| v.split(';'));
        let mut held = cookies.filter_map(|c| c.trim().strip_prefix(NAME)?.strip_prefix('='));
        if held.any(|c| same(c, token)) {
            return Ok(false);
        }
        Err((StatusCode::UNAUTHORIZED, "scan the code in the terminal: the link in it lets this phone in"))
    }
}

/// Compares without telling by the time how much was right.
fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}

/// Lets a request in, or says why not.
pub(crate) async fn guard(
    State(house): State<House>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    request: Request,
    next: Next,
) -> Response {
    match house.door.let_in(from.ip().to_canonical(), request.headers(), request.uri()) {
        Err((code, why)) => (code, why).into_response(),
        Ok(false) => next.run(request).await,
        Ok(true) => {
            let cookie = format!(
                "{NAME}={}; HttpOnly; SameSite=Strict; Path=/; Max-Age=31536000",
                house.door.token().unwrap_or_default()
            );
            // The token leaves the address bar.
            if request.method() == Method::GET {
                let to = request.uri().path().to_owned();
                return (StatusCode::SEE_OTHER, [(SET_COOKIE, cookie), (LOCATION, to)]).into_response();
            }
            let mut answer = next.run(request).await;
            if let Ok(c) = cookie.parse() {
                answer.headers_mut().append(SET_COOKIE, c);
            }
            answer
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(list: &[(&'static str, &'static str)]) -> HeaderMap {
        list.iter().map(|(k, v)| (k.parse().unwrap(), v.parse().unwrap())).collect()
    }

    fn asked(door: &Door, from: &str, list: &[(&'static str, &'static str)], uri: &str) -> Result<bool, StatusCode> {
        door.let_in(from.parse().unwrap(), &headers(list), &uri.parse().unwrap()).map_err(|e| e.0)
    }

    #[test]
    fn only_our_own_names_and_pages_come_in() {
        let door = Door::new(4000, None, None);
        let home = "127.0.0.1";
        assert_eq!(asked(&door, home, &[("host", "127.0.0.1:4000")], "/"), Ok(false));
        assert_eq!(asked(&door, home, &[("host", "LOCALHOST:4000")], "/"), Ok(false));
        for host in ["elsewhere.example:4000", "127.0.0.1", "127.0.0.1:4001", "127.0.0.1:4000.example"] {
            let list: &[(&'static str, &'static str)] = &[("host", host)];
            assert_eq!(asked(&door, home, list, "/"), Err(StatusCode::MISDIRECTED_REQUEST), "{host}");
        }
        assert_eq!(asked(&door, home, &[], "/"), Err(StatusCode::MISDIRECTED_REQUEST));
        let host = ("host", "127.0.0.1:4000");
        assert_eq!(asked(&door, home, &[host, ("origin", "http://127.0.0.1:4000")], "/"), Ok(false));
        for origin in ["http://elsewhere.example", "null", "https://127.0.0.1:4000", "http://127.0.0.1:4001"] {
            assert_eq!(asked(&door, home, &[host, ("origin", origin)], "/"), Err(StatusCode::FORBIDDEN), "{origin}");
        }
    }

    #[test]
    fn another_machine_needs_the_token() {
        let lan = "192.0.2.7".parse().unwrap();
        let door = Door::new(4000, Some(lan), Some("right".into()));
        let host = ("host", "192.0.2.7:4000");
        let other = "192.0.2.9";
        assert_eq!(asked(&door, other, &[host], "/shop"), Err(StatusCode::UNAUTHORIZED));
        assert_eq!(asked(&door, other, &[host], "/shop?token=wrong"), Err(StatusCode::UNAUTHORIZED));
        assert_eq!(asked(&door, other, &[host], "/shop?token=right2"), Err(StatusCode::UNAUTHORIZED));
        assert_eq!(asked(&door, other, &[host], "/shop?token=right"), Ok(true));
        assert_eq!(asked(&door, other, &[host, ("cookie", "a=b; tubewright=right")], "/live"), Ok(false));
        assert_eq!(asked(&door, other, &[host, ("cookie", "tubewright=")], "/live"), Err(StatusCode::UNAUTHORIZED));
        let closed = Door::new(4000, Some(lan), None);
        assert_eq!(asked(&closed, other, &[host], "/shop?token="), Err(StatusCode::FORBIDDEN));
    }
}
