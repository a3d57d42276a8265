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
#include <string_view>
#include <vector>

#include "hub/store.h"

namespace nthtree::hub {

class Keys {
 public:
  void set(const std::vector<KeyOfPhone>& keys);
  // Empty where the secret is unknown or withdrawn.
  std::optional<KeyOfPhone> find(std::string_view secret) const;

 private:
  mutable std::mutex mutex_;
  std::map<sync::Digest, KeyOfPhone> good_;
};

}  // namespace nthtree::hub
