//! Cursor paging by key: a page continues after the last row seen, however many rows come in between.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::error::{Code, Refused, refuse};

const USUAL_LIMIT: u16 = 50;
const GREATEST_LIMIT: u16 = 200;

/// Which page of a list.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct PageQuery {
    /// `next_cursor` of the page before; the first page without.
    cursor: Option<String>,
    /// At most this many, 1 to 200; 50 unless told.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
}

impl PageQuery {
    /// The key to continue after.
    ///
    /// # Errors
    /// `unreadable` for a cursor that this list did not hand out.
    pub fn after<K: DeserializeOwned>(&self) -> Result<Option<K>, Refused> {
        let Some(cursor) = &self.cursor else { return Ok(None) };
        let bytes = URL_SAFE_NO_PAD.decode(cursor).ok();
        match bytes.and_then(|bytes| serde_json::from_slice(&bytes).ok()) {
            Some(key) => Ok(Some(key)),
            None => Err(refuse(Code::Unreadable, "This cursor is not one of ours.").field("cursor")),
        }
    }

    fn limit(&self) -> u16 {
        self.limit.unwrap_or(USUAL_LIMIT).clamp(1, GREATEST_LIMIT)
    }

    /// How many rows to ask the database for: one more than shown, to know whether a page follows.
    #[must_use]
    pub fn rows(&self) -> i64 {
        i64::from(self.limit()) + 1
    }
}

/// One page of a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct Page<T> {
    /// The things themselves.
    pub items: Vec<T>,
    /// Asks for the page after this; null on the last.
    pub next_cursor: Option<String>,
}

impl<T> Page<T> {
    /// Cuts rows that were asked for with [`PageQuery::rows`] to a page; `key` is what the rows are ordered by.
    pub fn cut<R, K: Serialize>(
        mut rows: Vec<R>,
        query: &PageQuery,
        key: impl Fn(&R) -> K,
        view: impl FnMut(R) -> T,
    ) -> Self {
        let limit = usize::from(query.limit());
        let more = rows.len() > limit;
        rows.truncate(limit);
        let next_cursor = rows
            .last()
            .filter(|_| more)
            .and_then(|row| serde_json::to_vec(&key(row)).ok())
            .map(|bytes| URL_SAFE_NO_PAD.encode(bytes));
        Self { items: rows.into_iter().map(view).collect(), next_cursor }
    }

    /// A list that is short by nature, as one page.
    #[must_use]
    pub fn whole(items: Vec<T>) -> Self {
        Self { items, next_cursor: None }
    }
}
