//! A folder of Markdown and YAML into typed documents and problems; reading goes on past faults.
