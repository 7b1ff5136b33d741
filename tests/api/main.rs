//! Black-box tests of the API on real parts: the production start-up, a real PostgreSQL, HTTP. See `harness`.

mod harness;

mod access;
mod clubs;
mod imports;
mod mail;
mod network;
mod schema;
mod suppliers;
mod walks;
