//! Scene to pixels: one way for window, picture and test.
