// SPDX-License-Identifier: Apache-2.0
#include "ledger/written_ahead.h"

#include <algorithm>
#include <map>
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

using Places = std::vector<const Record*>;

// Where the last stretch begins that is parted from all before it by `alone_ms`; the beginning
// where there is no such gap.
Places::const_iterator last_stretch(Places::const_iterator begin, Places::const_iterator end) {
  for (auto it = end; it - begin >= 2; --it) {
    if (it[-1]->stamp.at_ms - it[-2]->stamp.at_ms > alone_ms) return it - 1;
  }
  return begin;
}

// Whether one phone alone wrote begin … end, counts among it, and others wrote before.
bool one_phone_counts(Places::const_iterator first, Places::const_iterator begin,
                      Places::const_iterator end) {
  const auto other = [device = (*begin)->id.device](const Record* r) {
    return r->id.device != device;
  };
  return std::none_of(begin, end, other) && std::any_of(first, begin, other) &&
         std::any_of(begin, end, [](const Record* r) { return is_daily_work(*r); });
}

class Phones {
 public:
  void add(const FoldPosition& position, const std::string& author) {
    const auto [found, is_new] = phones_.try_emplace(position.id.device);
    WrittenAhead& phone = found->second;
    ++phone.records;
    if (!is_new && phone.first_ms <= position.stamp.at_ms) return;
    phone.device = position.id.device;
    phone.author = author;
    phone.first_ms = position.stamp.at_ms;
  }
  std::vector<WrittenAhead> all() const {
    std::vector<WrittenAhead> phones;
    for (const auto& [device, phone] : phones_) phones.push_back(phone);
    return phones;
  }

 private:
  std::map<DeviceKey, WrittenAhead> phones_;
};

template <typename T>
void add_late(const Entries<T>& entries, std::int64_t after_ms, Phones& phones) {
  for (auto it = entries.rbegin(); it != entries.rend() && it->at_ms() > after_ms; ++it) {
    phones.add(it->position, it->author);
  }
}

}  // namespace

int WrittenAhead::days_past(std::int64_t present_ms) const {
  return static_cast<int>(std::max<std::int64_t>(1, (first_ms - present_ms) / base::day_ms));
}

std::int64_t present_of(const std::vector<Record>& records) {
  Places places;
  places.reserve(records.size());
  for (const Record& record : records) places.push_back(&record);
  std::sort(places.begin(), places.end(),
            [](const Record* a, const Record* b) { return a->stamp < b->stamp; });
  auto end = places.cend();
  while (end != places.cbegin()) {
    const auto begin = last_stretch(places.cbegin(), end);
    if (!one_phone_counts(places.cbegin(), begin, end)) break;
    end = begin;
  }
  return end == places.cbegin() ? 0 : end[-1]->stamp.at_ms;
}

std::vector<WrittenAhead> written_ahead(const std::vector<Record>& records, std::int64_t now_ms) {
  Phones phones;
  for (const Record& record : records) {
    if (record.stamp.at_ms > now_ms + clock_slack_ms) phones.add(record.position(), record.author);
  }
  return phones.all();
}

std::vector<WrittenAhead> written_ahead(const Season& season, std::int64_t now_ms) {
  Phones phones;
  const std::int64_t after_ms = now_ms + clock_slack_ms;
  for (const auto& [id, block] : season.blocks()) {
    add_late(block.before_counts, after_ms, phones);
    add_late(block.tag_counts, after_ms, phones);
    add_late(block.check_counts, after_ms, phones);
    add_late(block.part_counts, after_ms, phones);
    add_late(block.part_checks, after_ms, phones);
    add_late(block.eye_scores, after_ms, phones);
    add_late(block.advice, after_ms, phones);
    add_late(block.work_spells, after_ms, phones);
    add_late(block.progress, after_ms, phones);
  }
  return phones.all();
}

}  // namespace nthtree::ledger
