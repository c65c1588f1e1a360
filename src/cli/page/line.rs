//! The line to one page: what it asks is read and handed to its bench, what the bench tells goes to the page. Whatever is not what a page
//! of ours would send closes the line, with a code and a few words, before it does anything.

use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::extract::ws::{CloseFrame, Message, WebSocket, close_code};
use needlebench::practise::web::ask::{self, Ask, At};
use tokio::sync::watch;
use tokio::time::{interval, timeout};

use super::bench::In;
use super::benches::{Benches, Seat};
use super::told::Out;

/// The first line comes within this.
const HELLO: Duration = Duration::from_secs(10);
/// Whoever takes nothing for so long is gone.
const PATIENCE: Duration = Duration::from_secs(5);
/// A sign of life is asked for so often, and whoever gives none for so long is gone.
const SIGN: Duration = Duration::from_secs(4);
const SILENCE: Duration = Duration::from_secs(13);
/// Lines a second, in the long run: a hand's every movement is one of sixty.
const LINES_PER_S: f64 = 150.0;
/// And at once.
const BURST: f64 = 300.0;

/// How a line ends.
enum End {
    /// Our word, with a code; the page may come back.
    Closed(u16, String),
    /// The page's own.
    Left,
    /// Without a word.
    Cut,
}

/// How many more lines may come now.
struct Allowance {
    left: f64,
    at: Instant,
}

impl Allowance {
    fn spend(&mut self, now: Instant) -> bool {
        self.left = (self.left + (now - self.at).as_secs_f64() * LINES_PER_S).min(BURST);
        self.at = now;
        self.left -= 1.0;
        self.left >= 0.0
    }
}

/// Reads one message of a page that is there: an ask, nothing, or the end of the line.
fn taken(message: Option<Result<Message, axum::Error>>, at: At) -> Result<Option<Ask>, End> {
    match message {
        Some(Ok(Message::Text(line))) => match ask::read(&line, at) {
            Ok(ask) => Ok(Some(ask)),
            Err(words) if line.len() > ask::LONGEST => Err(End::Closed(close_code::SIZE, words)),
            Err(words) => Err(End::Closed(close_code::POLICY, words)),
        },
        Some(Ok(Message::Binary(_))) => Err(End::Closed(
            close_code::UNSUPPORTED,
            "lines of text are read here, and no bytes".to_string(),
        )),
        Some(Ok(Message::Ping(_) | Message::Pong(_))) => Ok(None),
        // A page that is closed says that it goes away, or nothing; any other code is a line that broke.
        Some(Ok(Message::Close(close))) => Err(match close.map(|close| close.code) {
            None | Some(close_code::NORMAL | close_code::AWAY | close_code::STATUS) => End::Left,
            Some(_) => End::Cut,
        }),
        Some(Err(error)) => {
            let words = error.to_string();
            // The library's own words for what it will not read; anything else is a line that was cut.
            if words.contains("too long") || words.contains("too big") || words.contains("Space limit") {
                Err(End::Closed(
                    close_code::SIZE,
                    format!("at most {} bytes a line", ask::LONGEST),
                ))
            } else if words.contains("UTF-8") || words.contains("utf-8") {
                Err(End::Closed(close_code::INVALID, "this is no text".to_string()))
            } else {
                Err(End::Cut)
            }
        }
        None => Err(End::Cut),
    }
}

/// Follows a line to its end.
pub async fn follow(mut socket: WebSocket, benches: Arc<Benches>, mut over: watch::Receiver<bool>) {
    let end = match hello(&mut socket, &benches).await {
        Ok(mut seat) => {
            let end = talk(&mut socket, &mut seat, benches.given.at(), &mut over).await;
            // Nobody takes what comes now; the bench sees by that whose line was cut.
            let Seat { to, from } = seat;
            drop(from);
            let _ = to.send(match end {
                End::Left => In::End,
                End::Closed(..) | End::Cut => In::Cut,
            });
            end
        }
        Err(end) => end,
    };
    if let End::Closed(code, words) = end {
        let close = Message::Close(Some(CloseFrame {
            code,
            reason: words.into(),
        }));
        if let Ok(Ok(())) = timeout(PATIENCE, socket.send(close)).await {
            // The page's answer, so that our words arrive before the connection goes.
            let _ = timeout(PATIENCE, async { while let Some(Ok(_)) = socket.recv().await {} }).await;
        }
    }
}

/// The first line, and a seat for whoever says it.
async fn hello(socket: &mut WebSocket, benches: &Arc<Benches>) -> Result<Seat, End> {
    let first = timeout(HELLO, socket.recv()).await;
    let Ok(first) = first else {
        return Err(End::Closed(close_code::POLICY, "no hello came".to_string()));
    };
    match taken(first, benches.given.at())? {
        Some(Ask::Hello { rate_hz, token }) => benches
            .join(token.as_deref(), rate_hz)
            .map_err(|words| End::Closed(close_code::AGAIN, words)),
        _ => Err(End::Closed(close_code::POLICY, "a hello comes first".to_string())),
    }
}

async fn talk(socket: &mut WebSocket, seat: &mut Seat, at: At, over: &mut watch::Receiver<bool>) -> End {
    let mut allowance = Allowance {
        left: BURST,
        at: Instant::now(),
    };
    let mut sign = interval(SIGN);
    let mut heard = Instant::now();
    loop {
        let message = tokio::select! {
            message = socket.recv() => {
                heard = Instant::now();
                match taken(message, at) {
                    Ok(_) if !allowance.spend(heard) => {
                        return End::Closed(close_code::POLICY, format!("more than {LINES_PER_S} lines a second"));
                    }
                    Ok(Some(Ask::Hello { .. })) => {
                        return End::Closed(close_code::POLICY, "a hello comes once".to_string());
                    }
                    Ok(Some(ask)) => {
                        if seat.to.send(In::Ask(ask)).is_err() {
                            return End::Closed(close_code::AWAY, "this practice is over".to_string());
                        }
                        continue;
                    }
                    Ok(None) => continue,
                    Err(end) => return end,
                }
            }
            told = seat.from.recv() => match told {
                Some(Out::Line(line)) => Message::Text(line.into()),
                Some(Out::Sound(bytes)) => Message::Binary(bytes.into()),
                None if *over.borrow() => return End::Closed(close_code::AWAY, "the program has ended".to_string()),
                None => return End::Closed(close_code::AWAY, "another line leads to this practice now".to_string()),
            },
            _ = sign.tick() => {
                if heard.elapsed() > SILENCE {
                    return End::Cut;
                }
                Message::Ping(Vec::new().into())
            }
            _ = over.changed() => return End::Closed(close_code::AWAY, "the program has ended".to_string()),
        };
        match timeout(PATIENCE, socket.send(message)).await {
            Ok(Ok(())) => {}
            _ => return End::Cut,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thousand_lines_a_second_are_not_taken_and_a_hand_at_sixty_is() {
        let start = Instant::now();
        let taken = |per_second: u32| {
            let mut allowance = Allowance { left: BURST, at: start };
            (0..10 * per_second).all(|k| allowance.spend(start + Duration::from_secs(1) * k / per_second))
        };
        assert!(taken(60) && !taken(1000));
    }
}
