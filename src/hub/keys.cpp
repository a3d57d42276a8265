// SPDX-License-Identifier: Apache-2.0
#include "hub/keys.h"

#include <algorithm>

#include "hub/limits.h"
#include "hub/log.h"

namespace nthtree::hub {

std::string carrier_of(const KeyOfPhone& key) {
  return key.name + " #" + std::to_string(key.id);
}

sync::Sender sender_of(const KeyOfPhone& key) {
  return {key.id, carrier_of(key), key.person, key.role};
}

bool is_passing(const base::Error& error) {
  return error.id == "store_busy" || error.id == "store_away";
}

bool is_unsure(const base::Error& error) { return error.id == "store_unsure"; }

void Keys::set(const base::Result<std::vector<KeyOfPhone>>& keys) {
  if (!keys) {
    log(Level::error, "keys_not_read", {{"why", keys.error().text()}});  // those known stay
    return;
  }
  std::map<sync::Digest, KeyOfPhone> good;
  std::set<sync::Digest> withdrawn;
  for (const KeyOfPhone& key : *keys) {
    key.withdrawn_ms == 0 ? void(good[key.hash] = key) : void(withdrawn.insert(key.hash));
  }
  const std::lock_guard lock(mutex_);
  good_ = std::move(good);
  withdrawn_ = std::move(withdrawn);
}

bool Keys::is_withdrawn(std::string_view secret) const {
  const sync::Digest hash = sync::sha256(secret);
  const std::lock_guard lock(mutex_);
  return withdrawn_.count(hash) > 0;
}

bool Keys::is_worth_a_look(std::string_view secret) {
  const sync::Digest hash = sync::sha256(secret);
  const std::lock_guard lock(mutex_);
  if (strangers_.count(hash) || looking_.size() >= strangers_max) return false;
  return looking_.insert(hash).second;
}

void Keys::looked(std::string_view secret) {
  const sync::Digest hash = sync::sha256(secret);
  const std::lock_guard lock(mutex_);
  looking_.erase(hash);
  if (strangers_.size() >= strangers_max) strangers_.clear();
  if (!good_.count(hash)) strangers_.insert(hash);
}

bool Keys::has_manager() const {
  const std::lock_guard lock(mutex_);
  return std::any_of(good_.begin(), good_.end(), [](const auto& entry) {
    return entry.second.role == orchard::Role::manager;
  });
}

std::optional<KeyOfPhone> Keys::find(std::string_view secret) const {
  // Looking up a hash of 192 secret bits tells a clock nothing about the secret.
  const sync::Digest hash = sync::sha256(secret);
  const std::lock_guard lock(mutex_);
  const auto key = good_.find(hash);
  return key == good_.end() ? std::nullopt : std::optional(key->second);
}

}  // namespace nthtree::hub
