// SPDX-License-Identifier: Apache-2.0
//
// Which phones may talk to the hub: a copy in memory of the store's keys, so that a request without
// a key costs no disk. Known only by the SHA-256 of their secret.
//
// Thread safe. A withdrawn key stops working within a second; what its phone sent stays.
//
//   std::optional<KeyOfPhone> phone = keys.find(secret);
#pragma once

#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <string_view>
#include <vector>

#include "hub/store.h"
#include "sync/hub_side.h"

namespace nthtree::hub {

// Whose a request is, for sync.
sync::Sender sender_of(const KeyOfPhone& key);

class Keys {
 public:
  // Where they could not be read, what was known stays known: a locked file logs nobody out.
  void set(const base::Result<std::vector<KeyOfPhone>>& keys);
  // Empty where the secret is unknown or withdrawn.
  std::optional<KeyOfPhone> find(std::string_view secret) const;
  bool is_withdrawn(std::string_view secret) const;
  bool has_manager() const;

  // Where several hubs share a farm, a secret that is unknown here may be that of a phone which has
  // just joined at another one: true for whoever should read the keys again before refusing it.
  bool is_worth_a_look(std::string_view secret);
  // The keys were read after that, and it was not among them.
  void looked(std::string_view secret);

 private:
  mutable std::mutex mutex_;
  std::map<sync::Digest, KeyOfPhone> good_;
  std::set<sync::Digest> withdrawn_;
  std::set<sync::Digest> looking_, strangers_;  // neither longer than strangers_max
};

}  // namespace nthtree::hub
