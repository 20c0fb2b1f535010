//! How long the main job takes.

fn main() {}
