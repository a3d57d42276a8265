// SPDX-License-Identifier: Apache-2.0
//
// A token bucket a key, key being a phone or an address: short bursts pass, a flood does not.
//
// Thread safe. Forgets keys that are full again, so that it cannot grow without end.
//
//   RateLimit joins(5, 1.0 / 12);
//   if (!joins.take(address, now_seconds)) return 429;
#pragma once

#include <map>
#include <mutex>
#include <string>

namespace nthtree::hub {

class RateLimit {
 public:
  RateLimit(double burst, double per_second) : burst_(burst), per_second_(per_second) {}

  // False, and nothing taken, where fewer tokens than this are left.
  bool take(const std::string& key, double now_seconds, double tokens = 1);
  bool holds(const std::string& key, double now_seconds, double tokens);
  // Takes what there is: of what was used before this process began. Times ascend.
  void used(const std::string& key, double at_seconds, double tokens);
  std::size_t size();

 private:
  struct Bucket {
    double tokens = 0;
    double at_seconds = 0;
  };
  Bucket* filled(const std::string& key, double now_seconds);
  void forget_full(double now_seconds);

  const double burst_, per_second_;
  std::mutex mutex_;
  std::map<std::string, Bucket> buckets_;
};

}  // namespace nthtree::hub
