//! Headers of a request, read with care.

use axum::http::{HeaderMap, HeaderName};

/// A header that is there once.
pub fn text<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    // Twice is not once.
    let mut all = headers.get_all(name).iter();
    let only = all.next().filter(|_| all.next().is_none())?;
    only.to_str().ok()
}
