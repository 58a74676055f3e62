//! The server: the page, its live line, and what phones ask.

mod assets;
mod door;
mod live;
mod routes;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicU64;

use crate::keeper::Jobs;

pub use door::Door;

/// Largest body of a request, bytes: a phone's whole queue is a few kilobytes.
const LARGEST: usize = 1 << 20;

/// What every request can reach.
#[derive(Clone)]
pub(crate) struct House {
    pub jobs: Jobs,
    pub door: Arc<Door>,
    pub pages: Arc<AtomicU64>,
    pub design: Arc<PathBuf>,
}

impl House {
    /// The address at which a phone finds a piece, for the labels; `None` if phones may not come in.
    fn piece_link(&self) -> Option<String> {
        let (lan, token) = (self.door.lan()?, self.door.token()?);
        Some(format!("http://{lan}/shop/{}?token={token}", packet::sheet::code::PIECE))
    }
}

/// How the server is opened.
#[derive(Clone, Debug)]
pub struct Opening {
    /// Whether phones on the same network may come in, with a token.
    pub lan: bool,
    /// The port; 0 takes any that is free.
    pub port: u16,
}

/// A server that listens.
pub struct Server {
    listener: tokio::net::TcpListener,
    house: House,
    /// Where it listens.
    pub address: SocketAddr,
}

impl Server {
    /// Begins to listen.
    ///
    /// # Errors
    /// If the port is taken, in words.
    pub async fn listen(jobs: Jobs, design: PathBuf, opening: &Opening, token: String) -> Result<Server, String> {
        let ip = if opening.lan { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
        let at = SocketAddr::new(ip.into(), opening.port);
        let listener = tokio::net::TcpListener::bind(at).await.map_err(|e| {
            format!("error: can't listen at {at}: {e}; another program may use the port: give another with --port")
        })?;
        let address = listener.local_addr().map_err(|e| format!("error: can't listen at {at}: {e}"))?;
        let lan = if opening.lan { own_address() } else { None };
        let door = Arc::new(Door::new(address.port(), lan, opening.lan.then_some(token)));
        let house = House { jobs, door, pages: Arc::default(), design: Arc::new(design) };
        Ok(Server { listener, house, address })
    }

    /// The link that opens the page on this machine.
    pub fn link(&self) -> String {
        format!("http://127.0.0.1:{}/", self.address.port())
    }

    /// The link for phones, with the token; `None` if they may not come in, or this machine has no address of its own.
    pub fn phone_link(&self) -> Option<String> {
        let token = self.house.door.token()?;
        Some(format!("http://{}/shop?token={token}", self.house.door.lan()?))
    }

    /// Serves until `end` is done.
    ///
    /// # Errors
    /// If the network fails, in words.
    pub async fn serve(self, end: impl Future<Output = ()> + Send + 'static) -> Result<(), String> {
        let app = routes::router(self.house).into_make_service_with_connect_info::<SocketAddr>();
        axum::serve(self.listener, app)
            .with_graceful_shutdown(end)
            .await
            .map_err(|e| format!("error: the server stopped: {e}"))
    }
}

/// The address by which this machine reaches others. Nothing is sent: the address is from the range that is kept for
/// documentation (RFC 5737).
fn own_address() -> Option<IpAddr> {
    let socket = std::net::UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    socket.local_addr().ok().map(|a| a.ip())
}
