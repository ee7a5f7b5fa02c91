//! Charts and papers.
