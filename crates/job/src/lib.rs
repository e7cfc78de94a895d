//! The job file and the shop file: every edit a durable revision in one SQLite file.
