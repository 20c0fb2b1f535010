//! The projector's window.
