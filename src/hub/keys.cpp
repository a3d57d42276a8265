// SPDX-License-Identifier: Apache-2.0
#include "hub/keys.h"

namespace nthtree::hub {

std::string carrier_of(const KeyOfPhone& key) {
  return key.name + " #" + std::to_string(key.id);
}

void Keys::set(const std::vector<KeyOfPhone>& keys) {
  std::map<sync::Digest, KeyOfPhone> good;
  for (const KeyOfPhone& key : keys) {
    if (key.withdrawn_ms == 0) good[key.hash] = key;
  }
  const std::lock_guard lock(mutex_);
  good_ = std::move(good);
}

std::optional<KeyOfPhone> Keys::find(std::string_view secret) const {
  // Looking up a hash of 192 secret bits tells a clock nothing about the secret.
  const sync::Digest hash = sync::sha256(secret);
  const std::lock_guard lock(mutex_);
  const auto key = good_.find(hash);
  return key == good_.end() ? std::nullopt : std::optional(key->second);
}

}  // namespace nthtree::hub
