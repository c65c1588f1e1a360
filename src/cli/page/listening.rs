//! The listening room's requests: a question, an answer, a step of a sweep, and how the drills stand. Whatever takes time to render does so
//! on another thread; only our own page may ask for it, in few words.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use axum::Router;
use axum::extract::{Request, State};
use axum::http::header::{CONTENT_TYPE, ORIGIN};
use axum::http::{HeaderValue, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use needlebench::practise::web::guard::Ours;
use needlebench::practise::web::listening::asked::{Answers, Ask, Refused, Step, read};
use needlebench::practise::web::listening::{LONGEST, Listening};
use serde_json::json;
use tokio::sync::Semaphore;
use tokio::time::timeout;

use super::answers::AnswerFile;
use super::headers::text;

/// A request's words come within this.
const BODY: Duration = Duration::from_secs(5);
/// Clips that are rendered at once, and how long one may wait for its turn.
const RENDERED: usize = 2;
const TURN: Duration = Duration::from_secs(10);

/// The room with the file of its answers, once a page has asked for it.
struct Opened {
    listening: Listening,
    file: AnswerFile,
}

#[derive(Clone)]
struct Shared {
    ours: Ours,
    kept: bool,
    room: Arc<Mutex<Option<Opened>>>,
    turns: Arc<Semaphore>,
}

/// Why there is no answer.
enum Failed {
    Refused(Refused),
    /// Whoever asks breaks off, or too many ask.
    Other(StatusCode, &'static str),
}

impl From<Refused> for Failed {
    fn from(refused: Refused) -> Self {
        Self::Refused(refused)
    }
}

impl IntoResponse for Failed {
    fn into_response(self) -> Response {
        let (status, words) = match self {
            Self::Refused(refused) => {
                let status = match refused {
                    Refused::NoQuestion => StatusCode::NOT_FOUND,
                    Refused::Twice => StatusCode::CONFLICT,
                    _ => StatusCode::BAD_REQUEST,
                };
                (status, refused.to_string())
            }
            Self::Other(status, words) => (status, words.to_string()),
        };
        (status, words + "\n").into_response()
    }
}

const UNFINISHED: Failed = Failed::Other(StatusCode::INTERNAL_SERVER_ERROR, "this could not be done; try again");

/// The listening room's addresses; whether answers are kept.
pub fn routes<S: Clone + Send + Sync + 'static>(ours: Ours, kept: bool) -> Router<S> {
    let shared = Shared {
        ours,
        kept,
        room: Arc::default(),
        turns: Arc::new(Semaphore::new(RENDERED)),
    };
    Router::new()
        .route("/listening/question", post(question))
        .route("/listening/answer", post(answer))
        .route("/listening/step", post(step))
        .layer(from_fn_with_state(shared.clone(), from_our_page))
        .route("/listening/room", get(room))
        .with_state(shared)
}

/// Only our own page may ask for what costs time, or answer.
async fn from_our_page(State(shared): State<Shared>, request: Request, next: Next) -> Response {
    let origin = text(request.headers(), &ORIGIN);
    if origin.is_some_and(|origin| shared.ours.origin(origin)) {
        next.run(request).await
    } else {
        (StatusCode::FORBIDDEN, "only our own page may ask this\n").into_response()
    }
}

/// A request's words, few as they have to be.
async fn body<T: serde::de::DeserializeOwned>(request: Request) -> Result<T, Failed> {
    let read_in = timeout(BODY, axum::body::to_bytes(request.into_body(), LONGEST)).await;
    match read_in {
        Err(_) => Err(Failed::Other(
            StatusCode::REQUEST_TIMEOUT,
            "the request did not come to its end",
        )),
        Ok(Err(_)) => Err(Failed::Other(
            StatusCode::PAYLOAD_TOO_LARGE,
            "a request here has at most 512 bytes",
        )),
        Ok(Ok(bytes)) => Ok(read(&bytes)?),
    }
}

fn unix_ms() -> u64 {
    let since_1970 = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    u64::try_from(since_1970.as_millis()).unwrap_or(u64::MAX)
}

/// So many bytes that nobody can guess.
fn random<const N: usize>() -> Result<[u8; N], Failed> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|_| UNFINISHED)?;
    Ok(bytes)
}

impl Shared {
    /// Does something with the room, on a thread that may wait for a disk.
    async fn in_room<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Opened) -> Result<T, Failed> + Send + 'static,
    ) -> Result<T, Failed> {
        let (room, kept) = (Arc::clone(&self.room), self.kept);
        let done = tokio::task::spawn_blocking(move || {
            let mut room = room.lock().unwrap_or_else(PoisonError::into_inner);
            if room.is_none() {
                let (file, before) = AnswerFile::open(kept);
                let listening = Listening::new(u64::from_le_bytes(random()?), before);
                *room = Some(Opened { listening, file });
            }
            room.as_mut().map_or(Err(UNFINISHED), work)
        });
        done.await.unwrap_or(Err(UNFINISHED))
    }

    /// Renders something when its turn has come.
    async fn sound(
        &self,
        work: impl FnOnce() -> Result<Vec<u8>, Refused> + Send + 'static,
    ) -> Result<Response, Failed> {
        let busy = Failed::Other(
            StatusCode::SERVICE_UNAVAILABLE,
            "too much is asked for at once; try again",
        );
        let Ok(Ok(turn)) = timeout(TURN, Arc::clone(&self.turns).acquire_owned()).await else {
            return Err(busy);
        };
        let rendered = tokio::task::spawn_blocking(move || {
            let sound = work();
            drop(turn);
            sound
        });
        let sound = rendered.await.unwrap_or_else(|_| Ok(Vec::new()))?;
        if sound.is_empty() {
            return Err(UNFINISHED);
        }
        let kind = [(CONTENT_TYPE, HeaderValue::from_static("application/octet-stream"))];
        Ok((kind, sound).into_response())
    }
}

fn json_answer(value: &serde_json::Value) -> Response {
    let kind = [(CONTENT_TYPE, HeaderValue::from_static("application/json"))];
    (kind, value.to_string()).into_response()
}

async fn room(State(shared): State<Shared>) -> Result<Response, Failed> {
    shared
        .in_room(|opened| {
            let mut room = opened.listening.room();
            room["trouble"] = opened.file.trouble().into();
            Ok(json_answer(&room))
        })
        .await
}

async fn question(State(shared): State<Shared>, request: Request) -> Result<Response, Failed> {
    let ask: Ask = body(request).await?;
    let put = shared
        .in_room(move |opened| {
            let id: String = random::<16>()?.iter().map(|byte| format!("{byte:02x}")).collect();
            Ok(opened.listening.ask(&ask, id)?)
        })
        .await?;
    shared.sound(move || put.sound()).await
}

async fn step(State(shared): State<Shared>, request: Request) -> Result<Response, Failed> {
    let step: Step = body(request).await?;
    shared.sound(move || step.sound()).await
}

async fn answer(State(shared): State<Shared>, request: Request) -> Result<Response, Failed> {
    let answers: Answers = body(request).await?;
    shared
        .in_room(move |opened| {
            let verdict = opened.listening.answer(&answers, unix_ms())?;
            opened.file.keep(&verdict.kept);
            Ok(json_answer(&json!({
                "right": verdict.right,
                "was": verdict.was,
                "words": verdict.words,
                "standing": verdict.standing,
                "trouble": opened.file.trouble(),
            })))
        })
        .await
}
