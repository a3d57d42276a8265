// SPDX-License-Identifier: Apache-2.0
#include "sync/sequence_set.h"

#include <algorithm>

#include "base/result.h"
#include "base/text.h"

namespace nthtree::sync {

void SequenceSet::add(std::uint64_t first, std::uint64_t last) {
  NTHTREE_ASSERT(first >= 1 && first <= last);
  // The usual case, a phone's next record, touches only the last range.
  if (!ranges_.empty() && first > ranges_.back().last + 1) {
    ranges_.push_back({first, last});
    return;
  }
  auto from = std::lower_bound(ranges_.begin(), ranges_.end(), first,
                               [](const Range& r, std::uint64_t f) { return r.last + 1 < f; });
  auto to = from;
  for (; to != ranges_.end() && to->first <= last + 1; ++to) {
    first = std::min(first, to->first);
    last = std::max(last, to->last);
  }
  if (from == to) {
    ranges_.insert(from, {first, last});
  } else {
    *from = {first, last};
    ranges_.erase(from + 1, to);
  }
}

void SequenceSet::add(const SequenceSet& other) {
  for (const Range& range : other.ranges_) add(range.first, range.last);
}

void SequenceSet::remove(std::uint64_t sequence) {
  const auto at = std::lower_bound(ranges_.begin(), ranges_.end(), sequence,
                                   [](const Range& r, std::uint64_t s) { return r.last < s; });
  if (at == ranges_.end() || at->first > sequence) return;
  const Range whole = *at;
  if (whole.first == whole.last) {
    ranges_.erase(at);
  } else if (sequence == whole.first) {
    ++at->first;
  } else if (sequence == whole.last) {
    --at->last;
  } else {
    at->last = sequence - 1;
    ranges_.insert(at + 1, {sequence + 1, whole.last});
  }
}

bool SequenceSet::contains(std::uint64_t sequence) const {
  const auto at = std::lower_bound(ranges_.begin(), ranges_.end(), sequence,
                                   [](const Range& r, std::uint64_t s) { return r.last < s; });
  return at != ranges_.end() && at->first <= sequence;
}

std::uint64_t SequenceSet::size() const {
  std::uint64_t count = 0;
  for (const Range& range : ranges_) count += range.last - range.first + 1;
  return count;
}

std::uint64_t SequenceSet::head() const {
  return ranges_.empty() || ranges_.front().first != 1 ? 0 : ranges_.front().last;
}

SequenceSet SequenceSet::minus(const SequenceSet& other) const {
  SequenceSet rest;
  auto cut = other.ranges_.begin();
  for (const Range& range : ranges_) {
    std::uint64_t first = range.first;
    while (cut != other.ranges_.end() && cut->last < first) ++cut;
    for (auto c = cut; c != other.ranges_.end() && c->first <= range.last; ++c) {
      if (c->first > first) rest.ranges_.push_back({first, c->first - 1});
      first = c->last + 1;
      if (first > range.last) break;
    }
    if (first <= range.last) rest.ranges_.push_back({first, range.last});
  }
  return rest;
}

std::string SequenceSet::text() const {
  std::string text;
  for (const Range& range : ranges_) {
    if (!text.empty()) text += ',';
    text += std::to_string(range.first);
    if (range.last != range.first) text += '-' + std::to_string(range.last);
  }
  return text;
}

namespace {

// Takes a number without a leading zero off the front; 0 where there is none.
std::uint64_t take_number(std::string_view& text) {
  std::uint64_t value = 0;
  std::size_t digits = 0;
  while (digits < text.size() && text[digits] >= '0' && text[digits] <= '9') {
    if (digits == 15 || (digits == 0 && text[0] == '0')) return 0;
    value = value * 10 + static_cast<std::uint64_t>(text[digits++] - '0');
  }
  text.remove_prefix(digits);
  return value;
}

}  // namespace

std::optional<SequenceSet> parse_sequence_set(std::string_view text) {
  SequenceSet set;
  while (!text.empty()) {
    const std::uint64_t first = take_number(text);
    std::uint64_t last = first;
    if (!text.empty() && text.front() == '-') {
      text.remove_prefix(1);
      last = take_number(text);
    }
    if (first == 0 || last < first || first <= set.highest()) return std::nullopt;
    set.add(first, last);
    if (set.ranges().size() > ranges_max) return std::nullopt;
    if (text.empty()) break;
    if (text.front() != ',' || text.size() == 1) return std::nullopt;
    text.remove_prefix(1);
  }
  return set;
}

Coverage minus(const Coverage& left, const Coverage& right) {
  Coverage rest;
  for (const auto& [device, held] : left) {
    const auto other = right.find(device);
    SequenceSet difference = other == right.end() ? held : held.minus(other->second);
    if (!difference.empty()) rest.emplace(device, std::move(difference));
  }
  return rest;
}

std::uint64_t size(const Coverage& coverage) {
  std::uint64_t count = 0;
  for (const auto& [device, held] : coverage) count += held.size();
  return count;
}

bool contains(const Coverage& coverage, const ledger::RecordId& id) {
  const auto device = coverage.find(id.device);
  return device != coverage.end() && device->second.contains(id.sequence);
}

}  // namespace nthtree::sync
