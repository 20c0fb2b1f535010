//! What leaves the program on paper or as a full-scale file.
