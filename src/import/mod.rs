//! Files of other programs become a pattern.
