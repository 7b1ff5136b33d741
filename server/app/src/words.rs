//! Closed sets of words: one Rust enum is the column, the JSON and the CSV at once, so that they cannot drift apart.
//!
//! Knows nothing of what the words mean; each slice lists its own.

/// Makes an enum of a closed set of words. Wire, database and CSV hold the same words; unknown ones are refused.
///
/// The word is a token and not a literal fragment, which the OpenAPI derive could not read.
macro_rules! words {
    ($($(#[$doc:meta])* $name:ident { $($(#[$word_doc:meta])* $variant:ident = $word:tt,)+ })+) => {$(
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
            diesel::expression::AsExpression, diesel::deserialize::FromSqlRow,
        )]
        #[diesel(sql_type = diesel::sql_types::Text)]
        pub enum $name { $($(#[$word_doc])* #[serde(rename = $word)] $variant,)+ }

        impl $name {
            /// All words, in their natural order.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// The word itself.
            #[must_use]
            pub fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }

            /// From the word.
            #[must_use]
            pub fn parse(text: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|word| word.as_str() == text)
            }
        }

        impl diesel::serialize::ToSql<diesel::sql_types::Text, diesel::pg::Pg> for $name {
            fn to_sql<'b>(
                &'b self,
                out: &mut diesel::serialize::Output<'b, '_, diesel::pg::Pg>,
            ) -> diesel::serialize::Result {
                std::io::Write::write_all(out, self.as_str().as_bytes())?;
                Ok(diesel::serialize::IsNull::No)
            }
        }

        impl diesel::deserialize::FromSql<diesel::sql_types::Text, diesel::pg::Pg> for $name {
            fn from_sql(bytes: diesel::pg::PgValue<'_>) -> diesel::deserialize::Result<Self> {
                let text = <String as diesel::deserialize::FromSql<diesel::sql_types::Text, diesel::pg::Pg>>::from_sql(
                    bytes,
                )?;
                Self::parse(&text).ok_or_else(|| format!("{text} is no {}", stringify!($name)).into())
            }
        }
    )+};
}

pub(crate) use words;
