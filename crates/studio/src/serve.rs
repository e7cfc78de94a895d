//! The loopback server: bound to this machine, limited in connections, headers and time.

use std::io::{self, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use job::Seat;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

use crate::bounds::Bounds;
use crate::desk::{Desk, Left};
use crate::guard::{Guard, KEY_HEADER};
use crate::routes::{self, House};
use crate::wire::Trouble;

/// Connections served at once. A browser keeps six to a host; more is a fault or an attack.
const CONNECTIONS_MOST: usize = 256;
/// The head of a request comes within this, or the connection is closed.
const HEAD_WITHIN: Duration = Duration::from_secs(5);
/// The head of a request is no longer than this, bytes.
const HEAD_MOST: usize = 32 * 1024;

/// Makes the demo's job in a folder and gives its path.
pub type Demo = Box<dyn Fn(&Path) -> Result<PathBuf, Trouble> + Send + Sync>;

/// How the studio is run.
pub struct Options {
    /// The job to open; none for the start page.
    pub job: Option<PathBuf>,
    /// Where new jobs are put.
    pub folder: PathBuf,
    /// The port; 0 for the one of the last time, or any free one.
    pub port: u16,
    /// Makes the demo's job.
    pub demo: Demo,
}

/// Serves the pages until the process ends. `opened` is told the address to open, which lets one browser in, once.
pub fn serve(options: Options, opened: impl FnOnce(&str)) -> Result<(), Trouble> {
    if let Some(invitation) = options.job.as_deref().and_then(elsewhere) {
        opened(&invitation);
        return Ok(());
    }
    let runtime =
        tokio::runtime::Builder::new_multi_thread().enable_all().worker_threads(2).build().map_err(unserved)?;
    runtime.block_on(async {
        let last = Seat::of(options.job.as_deref().unwrap_or(&options.folder));
        let listener = bound(options.port, last.as_ref()).await.map_err(unserved)?;
        let port = listener.local_addr().map_err(unserved)?.port();
        let guard = Arc::new(Guard::new(port, last));
        let left = Left { word: guard.word(), seat: guard.seat() };
        // Without it the pages serve as well; only an open one does not come back after a new start.
        if options.job.is_none() {
            let _ = left.seat.keep(&options.folder);
        }
        let desk = Desk::new(options.folder, left);
        if let Some(path) = options.job {
            // Opening decodes and checks: off the threads that answer.
            let desk = desk.clone();
            tokio::task::spawn_blocking(move || desk.open(&path)).await.map_err(|_| Trouble::broken())??;
        }
        opened(&guard.invitation());
        accept(
            listener,
            House {
                desk,
                guard,
                demo: Arc::new(options.demo),
                made: Arc::default(),
                bounds: Arc::new(Bounds::new()),
                looked: Arc::default(),
            },
        )
        .await
    })
}

/// The port that was asked for and no other; else the last time's, so that an open page finds its server again; else any.
async fn bound(asked: u16, last: Option<&Seat>) -> io::Result<TcpListener> {
    let at = |port| SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    match last.filter(|_| asked == 0) {
        Some(seat) => match TcpListener::bind(at(seat.port)).await {
            Ok(listener) => Ok(listener),
            Err(_) => TcpListener::bind(at(0)).await,
        },
        None => TcpListener::bind(at(asked)).await,
    }
}

async fn accept(listener: TcpListener, house: House) -> Result<(), Trouble> {
    let app = routes::all(house);
    let places = Arc::new(Semaphore::new(CONNECTIONS_MOST));
    loop {
        // One connection that fails is no reason to stop; too many open files passes.
        let Ok((stream, _)) = listener.accept().await else {
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        // Beyond the limit a connection is closed at once: it would wait for nothing.
        let Ok(place) = places.clone().try_acquire_owned() else { continue };
        let _ = stream.set_nodelay(true);
        let service = TowerToHyperService::new(app.clone());
        tokio::spawn(async move {
            let mut http = http1::Builder::new();
            http.timer(TokioTimer::new()).header_read_timeout(HEAD_WITHIN).max_buf_size(HEAD_MOST);
            // A connection that breaks off concerns nobody else.
            let _ = http.serve_connection(TokioIo::new(stream), service).await;
            drop(place);
        });
    }
}

fn unserved(error: io::Error) -> Trouble {
    Trouble::of(
        format!("The pages cannot be served on this machine: {error}."),
        "Give another port with --port, or try again.",
    )
}

/// The address of a server of this account that has the job open already.
fn elsewhere(job: &Path) -> Option<String> {
    let word = job::word_of(job)?;
    let (port, key) = word.split_once(' ')?;
    knock(port.parse().ok()?, key).ok()
}

/// Asks a running server for a fresh token. A dozen lines of HTTP: the answer is ours and short.
fn knock(port: u16, key: &str) -> io::Result<String> {
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let mut stream = TcpStream::connect_timeout(&address, HEAD_WITHIN)?;
    stream.set_read_timeout(Some(HEAD_WITHIN))?;
    write!(
        stream,
        "POST /knock HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{KEY_HEADER}: {key}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
    )?;
    let mut answer = String::new();
    stream.take(64 * 1024).read_to_string(&mut answer)?;
    let body = answer.split_once("\r\n\r\n").map(|(_, body)| body.trim());
    body.filter(|body| answer.starts_with("HTTP/1.1 200") && body.starts_with("http://127.0.0.1:"))
        .map(String::from)
        .ok_or_else(|| io::Error::other("the server that has the job open does not answer"))
}
