//! The site kept up while the person writes: notices, a loopback server, a loop.
