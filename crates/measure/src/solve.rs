//! Exact solvers over integers.
