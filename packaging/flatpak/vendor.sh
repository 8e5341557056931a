#!/bin/sh
# Collects the crates of Cargo.lock beside the manifest, because a Flatpak is built without a network. Run it before flatpak-builder.
set -eu
cd "$(dirname "$0")/../.."
cargo vendor --locked packaging/flatpak/vendor > packaging/flatpak/vendor.toml
