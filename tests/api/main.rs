//! Black-box tests of the API on real parts: the production start-up, a real PostgreSQL, HTTP. See `harness`.

mod demo;
mod direct;
mod harness;
mod shed;

mod access;
mod attachments;
mod bookings;
mod bookings_races;
mod calendars;
mod closures;
mod clubs;
mod handovers;
mod hire_shares;
mod imports;
mod machines;
mod mail;
mod needs;
mod network;
mod offers;
mod orders;
mod plans;
mod replans;
mod rounds;
mod rounds_around;
mod schema;
mod standing;
mod suppliers;
mod swaps;
mod tenancy;
mod turns;
mod waiting;
mod walks;
