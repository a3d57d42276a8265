// SPDX-License-Identifier: Apache-2.0
#include "hub/rate_limit.h"

#include <algorithm>

#include "hub/limits.h"

namespace nthtree::hub {

bool RateLimit::take(const std::string& key, double now_seconds, double tokens) {
  const std::lock_guard lock(mutex_);
  Bucket* bucket = filled(key, now_seconds);
  if (!bucket || bucket->tokens < tokens) return false;
  bucket->tokens -= tokens;
  return true;
}

bool RateLimit::holds(const std::string& key, double now_seconds, double tokens) {
  const std::lock_guard lock(mutex_);
  const Bucket* bucket = filled(key, now_seconds);
  return bucket && bucket->tokens >= tokens;
}

void RateLimit::used(const std::string& key, double at_seconds, double tokens) {
  const std::lock_guard lock(mutex_);
  if (Bucket* bucket = filled(key, at_seconds)) {
    bucket->tokens = std::max(0.0, bucket->tokens - tokens);
  }
}

// The bucket as it is now; null where too many are remembered already.
RateLimit::Bucket* RateLimit::filled(const std::string& key, double now_seconds) {
  auto bucket = buckets_.find(key);
  if (bucket == buckets_.end()) {
    if (buckets_.size() >= addresses_remembered_max) forget_full(now_seconds);
    if (buckets_.size() >= addresses_remembered_max) return nullptr;
    bucket = buckets_.emplace(key, Bucket{burst_, now_seconds}).first;
  }
  Bucket& b = bucket->second;
  b.tokens = std::min(burst_, b.tokens + (now_seconds - b.at_seconds) * per_second_);
  b.at_seconds = now_seconds;
  return &b;
}

void RateLimit::forget_full(double now_seconds) {
  std::erase_if(buckets_, [&](const auto& entry) {
    const Bucket& b = entry.second;
    return b.tokens + (now_seconds - b.at_seconds) * per_second_ >= burst_;
  });
}

std::size_t RateLimit::size() {
  const std::lock_guard lock(mutex_);
  return buckets_.size();
}

}  // namespace nthtree::hub
