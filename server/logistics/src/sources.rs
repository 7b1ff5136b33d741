//! The sources that the rest of this crate names, once.
//!
//! | key | source |
//! |---|---|
//! | HARE | Hare quota with largest remainders, as in the 1790 United States census apportionment worked example and a county apportionment worked example |
//! | KARNEY | C. F. F. Karney, *Algorithms for geodesics*, Journal of Geodesy 87 (2013); examples in the GeographicLib documentation |
//! | WGS84 | World Geodetic System 1984: equatorial radius 6 378 137 m, flattening 1/298.257 223 563 |
//! | VAT | HMRC, Notice 700 *The VAT guide* §17.5 and internal manual VATREC12010: on an invoice between traders the total VAT may be rounded down to a whole penny |
//! | RFC5545 | RFC 5545, *Internet Calendaring and Scheduling Core Object Specification* (2009), with the examples of section 3.8.5.3 |
//! | SHAPLEY | L. S. Shapley, *A value for n-person games* (1953); S. C. Littlechild and G. Owen, *A simple expression for the Shapley value in a special case*, Management Science 20 (1973), 370–372, the airport game |
//! | ASABE | ASABE EP496 *Agricultural Machinery Management* and D497 *Agricultural Machinery Management Data*: remaining value of a plough as an extension table of remaining values prints it, repairs of a chisel plough or subsoiler as an extension machinery-cost worksheet prints the constants |
//! | HOUSE | a rule of this project, argued where it stands |
