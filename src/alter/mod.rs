//! Alterations: records replayed from the untouched pattern.
