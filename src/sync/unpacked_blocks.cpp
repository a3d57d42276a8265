// SPDX-License-Identifier: Apache-2.0
#include "sync/unpacked_blocks.h"

namespace nthtree::sync {

Lines::Lines(std::string text) : text_(std::move(text)) {
  text_.shrink_to_fit();
  for (std::size_t at = 0; (at = text_.find('\n', at)) != std::string::npos; ++at) {
    ends_.push_back(static_cast<std::uint32_t>(at));
  }
}

bool UnpackedBlocks::is_at_front(const Key& key) {
  for (auto at = kept_.begin(); at != kept_.end(); ++at) {
    if (at->first != key) continue;
    kept_.splice(kept_.begin(), kept_, at);
    return true;
  }
  return false;
}

void UnpackedBlocks::add_at_front(const Key& key, Lines lines) {
  if (kept_.size() == kept_max) kept_.pop_back();
  kept_.emplace_front(key, std::move(lines));
}

void UnpackedBlocks::forget(const Key& key) {
  kept_.remove_if([&](const auto& kept) { return kept.first == key; });
}

}  // namespace nthtree::sync
