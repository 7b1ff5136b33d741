//! Black-box tests of the API; everything is in the test target.
