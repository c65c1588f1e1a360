//! Listens on 127.0.0.1 and answers: the page's files, and one socket for each page. Whoever comes under a foreign name is refused,
//! whoever keeps a connection open and says nothing is let go, and there are never more than so many at once.

use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::ws::WebSocketUpgrade;
use axum::extract::{Request, State};
use axum::http::header::{CONTENT_TYPE, HOST, ORIGIN};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{any, get};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use needlebench::practise::web::ask;
use needlebench::practise::web::files::{DEMONSTRATION, FILES};
use needlebench::practise::web::guard::{HEADERS, Ours};
use tokio::sync::{Semaphore, watch};
use tokio::time::{interval, sleep, timeout};

use super::benches::Benches;
use super::headers::text;
use super::offer::Given;
use super::{line, listening};
use crate::cli::progress;
use crate::cli::signals::Asked;

/// Connections at once; a browser opens half a dozen a page.
const MOST_CONNECTIONS: usize = 160;
/// A request's head comes within this.
const HEAD: Duration = Duration::from_secs(5);
/// Longest head of a request, bytes.
const LONGEST_HEAD: usize = 16 * 1024;
/// How often it is looked whether the program is asked to end.
const LOOK: Duration = Duration::from_millis(50);
/// Pages have so long to be told that it is over.
const FAREWELL: Duration = Duration::from_secs(2);

#[derive(Clone)]
struct Shared {
    ours: Ours,
    benches: Arc<Benches>,
    /// Turns true when the program ends.
    over: watch::Receiver<bool>,
}

/// Serves until the program is asked to end, and until the pages have been told so.
pub fn serve(listener: TcpListener, ours: Ours, benches: &Arc<Benches>, asked: &Asked) -> std::io::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(async {
        listener.set_nonblocking(true)?;
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let (end, over) = watch::channel(false);
        let shared = Shared {
            ours,
            benches: Arc::clone(benches),
            over,
        };
        let service = TowerToHyperService::new(routes(shared));
        let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
        let mut look = interval(LOOK);
        loop {
            tokio::select! {
                _ = look.tick() => if asked.is_set() { break },
                came = listener.accept() => match came {
                    Ok((stream, _)) => {
                        let Ok(seat) = Arc::clone(&room).try_acquire_owned() else { continue };
                        let _ = stream.set_nodelay(true);
                        let service = service.clone();
                        tokio::spawn(async move {
                            let connection = hyper::server::conn::http1::Builder::new()
                                .timer(TokioTimer::new())
                                .header_read_timeout(HEAD)
                                .max_buf_size(LONGEST_HEAD)
                                .serve_connection(TokioIo::new(stream), service)
                                .with_upgrades();
                            // Whoever breaks off has seen enough.
                            let _ = connection.await;
                            drop(seat);
                        });
                    }
                    // Too many files open, say: better later than never.
                    Err(_) => sleep(LOOK).await,
                },
            }
        }
        let _ = end.send(true);
        benches.all_told_to_leave();
        let _ = timeout(FAREWELL, end.closed()).await;
        Ok(())
    })
}

fn routes(shared: Shared) -> Router {
    let mut router = Router::new().route("/socket", any(socket));
    let files = match shared.benches.given {
        Given::Practice(_) => FILES,
        Given::Demonstration(_) => DEMONSTRATION,
    };
    for file in files {
        let answer = || async { ([(CONTENT_TYPE, HeaderValue::from_static(file.kind))], file.text) };
        router = router.route(file.path, get(answer));
    }
    // Whoever watches a demonstration is shown nothing else.
    if let Given::Practice(offer) = &shared.benches.given {
        router = router
            .route("/progress", get(learnt))
            .route("/progress.svg", get(drawn))
            .merge(listening::routes(shared.ours, offer.keeps()));
    }
    router
        .fallback(|| async {
            (
                StatusCode::NOT_FOUND,
                "there is nothing at this address; the page is at /\n",
            )
        })
        .layer(from_fn_with_state(shared.clone(), guarded))
        .with_state(shared)
}

/// Refuses whoever calls us by a foreign name.
async fn guarded(State(shared): State<Shared>, request: Request, next: Next) -> Response {
    let host = text(request.headers(), &HOST);
    let mut answer = if host.is_some_and(|host| shared.ours.host(host)) {
        next.run(request).await
    } else {
        let words = format!("this address is not ours; the page is at {}\n", shared.ours.address());
        (StatusCode::MISDIRECTED_REQUEST, words).into_response()
    };
    for (name, value) in HEADERS {
        answer
            .headers_mut()
            .insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    answer
}

/// The learner's curve, in text and as a picture; it is read from every recording, so on a thread that may take its time.
async fn so_far() -> Option<(String, Option<String>)> {
    tokio::task::spawn_blocking(progress::so_far).await.ok().flatten()
}

async fn learnt() -> String {
    let none = || "no practice recorded yet".to_string();
    so_far().await.map_or_else(none, |(text, _)| text)
}

async fn drawn() -> Response {
    match so_far().await.and_then(|(_, picture)| picture) {
        Some(picture) => ([(CONTENT_TYPE, HeaderValue::from_static("image/svg+xml"))], picture).into_response(),
        None => (StatusCode::NOT_FOUND, "nothing to draw yet\n").into_response(),
    }
}

/// A page's socket.
async fn socket(
    State(shared): State<Shared>,
    headers: HeaderMap,
    upgrade: Result<WebSocketUpgrade, axum::extract::ws::rejection::WebSocketUpgradeRejection>,
) -> Response {
    let origin = text(&headers, &ORIGIN);
    if !origin.is_some_and(|origin| shared.ours.origin(origin)) {
        return (StatusCode::FORBIDDEN, "only our own page may open this socket\n").into_response();
    }
    match upgrade {
        Err(rejection) => rejection.into_response(),
        Ok(upgrade) => upgrade
            .max_message_size(2 * ask::LONGEST)
            .max_frame_size(2 * ask::LONGEST)
            .write_buffer_size(0)
            .max_write_buffer_size(1 << 20)
            .on_upgrade(move |socket| line::follow(socket, shared.benches, shared.over)),
    }
}
