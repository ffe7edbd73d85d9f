//! Pieces on a small part of the demo set.
