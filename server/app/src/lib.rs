//! Turfring: the hosted service by which a network of clubs shares machines, pools orders and compares pitches.
//!
//! This crate is HTTP, database, mail and jobs. What the service exists for, the arithmetic of turf, rounds, shares
//! and comparison, stands in the pure crates `agronomy`, `logistics` and `comparison`; policy that needs no database
//! belongs there. One folder per subject; a slice calls another only through its front door.

pub mod access;
pub mod attachments;
pub mod bookings;
pub mod closures;
pub mod clubs;
pub mod config;
pub mod database;
pub mod demo;
pub mod error;
pub mod figures;
pub mod handovers;
pub mod hire_shares;
pub mod hires;
pub mod ids;
pub mod jobs;
pub mod machines;
pub mod mail;
pub mod network;
pub mod offers;
pub mod orders;
pub mod private_postgres;
pub mod replans;
pub mod rounds;
#[expect(missing_docs, reason = "generated; its documentation is the database's own comments")]
pub mod schema;
pub mod server;
pub mod service;
pub mod suppliers;
pub mod text;
pub mod time;
pub mod turns;
pub mod walks;
pub mod wire;
mod words;
pub mod worth;
