//! The document that ties pattern, wearer, alterations, cloth, lay, aim and progress together.
