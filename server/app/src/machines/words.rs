//! Closed sets of words: the same in Rust, on the wire and in the database, so that nobody translates.

/// Makes an enum of such words. An unknown word in a request is unreadable; in the database a constraint forbids it.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$each:meta])* $variant:ident = $word:tt,)+ }) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
            diesel::expression::AsExpression, diesel::deserialize::FromSqlRow,
        )]
        #[diesel(sql_type = diesel::sql_types::Text)]
        pub enum $name { $($(#[$each])* #[serde(rename = $word)] $variant,)+ }

        impl $name {
            /// As on the wire and in the database.
            #[must_use]
            pub fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }

            /// From that form.
            #[must_use]
            pub fn parse(text: &str) -> Option<Self> {
                match text { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl diesel::serialize::ToSql<diesel::sql_types::Text, diesel::pg::Pg> for $name {
            fn to_sql<'b>(
                &'b self,
                out: &mut diesel::serialize::Output<'b, '_, diesel::pg::Pg>,
            ) -> diesel::serialize::Result {
                <str as diesel::serialize::ToSql<diesel::sql_types::Text, diesel::pg::Pg>>::to_sql(self.as_str(), out)
            }
        }

        impl diesel::deserialize::FromSql<diesel::sql_types::Text, diesel::pg::Pg> for $name {
            fn from_sql(bytes: diesel::pg::PgValue<'_>) -> diesel::deserialize::Result<Self> {
                let text = <String as diesel::deserialize::FromSql<
                    diesel::sql_types::Text,
                    diesel::pg::Pg,
                >>::from_sql(bytes)?;
                Self::parse(&text).ok_or_else(|| format!("no {}: {text}", stringify!($name)).into())
            }
        }
    };
}
pub(crate) use words;

words! {
    /// What kind of work a machine does.
    MachineKind {
        /// Drives long tines deep into the ground.
        DeepTineAerator = "deep_tine_aerator",
        /// Makes shallow holes.
        Spiker = "spiker",
        /// Cuts slits.
        Slitter = "slitter",
        /// Spreads sand.
        Topdresser = "topdresser",
        /// Sows.
        Seeder = "seeder",
        /// Brushes dressing in, or worm casts away.
        Brush = "brush",
        /// Mows.
        Mower = "mower",
        /// Anything else.
        Other = "other",
    }
}

words! {
    /// How a machine is coupled.
    Linkage {
        /// It runs by itself.
        None = "none",
        /// Three-point linkage, category 1 (ISO 730).
        Category1 = "category_1",
        /// Three-point linkage, category 2 (ISO 730).
        Category2 = "category_2",
        /// Towed at the drawbar.
        Drawbar = "drawbar",
        /// Somebody walks behind it.
        Pedestrian = "pedestrian",
    }
}

words! {
    /// For which clubs a machine can be booked.
    WhoMayBook {
        /// Every club of the network.
        EveryClub = "every_club",
        /// The club that owns it.
        OwnerOnly = "owner_only",
        /// The clubs named, and the club that owns it.
        NamedClubs = "named_clubs",
    }
}

words! {
    /// How a booking holds a machine.
    HoldState {
        /// It waits for the coordinator; nobody else can have the time meanwhile.
        Asked = "asked",
        /// It stands.
        Agreed = "agreed",
    }
}
