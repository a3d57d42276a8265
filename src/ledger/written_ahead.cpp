// SPDX-License-Identifier: Apache-2.0
#include "ledger/written_ahead.h"

#include <algorithm>
#include <variant>

#include "base/clock.h"

namespace nthtree::ledger {
namespace {

// Nobody on a farm counts for three weeks (the longest holiday), and then one phone alone does.
constexpr std::int64_t alone_ms = 21 * base::day_ms;

bool is_daily_work(const Record& record) {
  return std::holds_alternative<TagCount>(record.body) ||
         std::holds_alternative<CheckCount>(record.body) ||
         std::holds_alternative<BeforeCount>(record.body) ||
         std::holds_alternative<WorkSpell>(record.body) ||
         std::holds_alternative<BlockProgress>(record.body) ||
         std::holds_alternative<Advice>(record.body);
}

using Times = std::vector<WrittenAt>;

// Where the last stretch begins that is parted from all before it by `alone_ms`; the beginning
// where there is no such gap.
Times::const_iterator last_stretch(Times::const_iterator begin, Times::const_iterator end) {
  for (auto it = end; it - begin >= 2; --it) {
    if (it[-1].at_ms - it[-2].at_ms > alone_ms) return it - 1;
  }
  return begin;
}

// Whether one phone alone wrote begin … end, counts among it, and others wrote before.
bool one_phone_counts(Times::const_iterator first, Times::const_iterator begin,
                      Times::const_iterator end) {
  const auto other = [device = begin->device](const WrittenAt& w) { return w.device != device; };
  return std::none_of(begin, end, other) && std::any_of(first, begin, other) &&
         std::any_of(begin, end, [](const WrittenAt& w) { return w.is_daily_work; });
}

// From the end, where all that is late stands.
template <typename T>
void add_late(const Entries<T>& entries, std::int64_t now_ms, LatePhones& phones) {
  for (auto it = entries.rbegin(); it != entries.rend() && it->at_ms() > now_ms; ++it) {
    phones.add(it->position, it->author);
  }
}

}  // namespace

int WrittenAhead::days_past(std::int64_t present_ms) const {
  return static_cast<int>(std::max<std::int64_t>(1, (first_ms - present_ms) / base::day_ms));
}

void Present::add(const Record& record) {
  written_.push_back({record.stamp.at_ms, record.id.device, is_daily_work(record)});
}

std::int64_t Present::ms() {
  std::sort(written_.begin(), written_.end(),
            [](const WrittenAt& a, const WrittenAt& b) { return a.at_ms < b.at_ms; });
  auto end = written_.cend();
  while (end != written_.cbegin()) {
    const auto begin = last_stretch(written_.cbegin(), end);
    if (!one_phone_counts(written_.cbegin(), begin, end)) break;
    end = begin;
  }
  return end == written_.cbegin() ? 0 : end[-1].at_ms;
}

std::int64_t present_of(const std::vector<Record>& records) {
  Present present;
  for (const Record& record : records) present.add(record);
  return present.ms();
}

void LatePhones::add(const FoldPosition& position, const std::string& author) {
  if (position.stamp.at_ms <= after_ms_) return;
  const auto [found, is_new] = phones_.try_emplace(position.id.device);
  WrittenAhead& phone = found->second;
  ++phone.records;
  if (!is_new && phone.first_ms <= position.stamp.at_ms) return;
  phone.device = position.id.device;
  phone.author = author;
  phone.first_ms = position.stamp.at_ms;
}

std::vector<WrittenAhead> LatePhones::all() const {
  std::vector<WrittenAhead> phones;
  for (const auto& [device, phone] : phones_) phones.push_back(phone);
  return phones;
}

std::vector<WrittenAhead> written_ahead(const std::vector<Record>& records, std::int64_t now_ms) {
  LatePhones phones(now_ms);
  for (const Record& record : records) phones.add(record.position(), record.author);
  return phones.all();
}

std::vector<WrittenAhead> written_ahead(const Season& season, std::int64_t now_ms) {
  LatePhones phones(now_ms);
  for (const auto& [id, block] : season.blocks()) {
    add_late(block.before_counts, now_ms, phones);
    add_late(block.tag_counts, now_ms, phones);
    add_late(block.check_counts, now_ms, phones);
    add_late(block.part_counts, now_ms, phones);
    add_late(block.part_checks, now_ms, phones);
    add_late(block.eye_scores, now_ms, phones);
    add_late(block.advice, now_ms, phones);
    add_late(block.work_spells, now_ms, phones);
    add_late(block.progress, now_ms, phones);
  }
  return phones.all();
}

}  // namespace nthtree::ledger
