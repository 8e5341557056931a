//! What each point means, every fact known or unknown.
