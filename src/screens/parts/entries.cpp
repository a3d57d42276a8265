// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/entries.h"

#include <algorithm>
#include <type_traits>

namespace nthtree::screens {
namespace {

template <typename T, typename Wanted>
const ledger::Entry<T>* last(const ledger::Entries<T>& entries, Wanted&& wanted) {
  for (auto it = entries.rbegin(); it != entries.rend(); ++it) {
    if (!it->withdrawn && wanted(*it)) return &*it;
  }
  return nullptr;
}

int number_of(const ledger::TagCount& body) { return body.spurs; }
int number_of(const ledger::CheckCount& body) { return body.spurs; }
int number_of(const ledger::BeforeCount& body) { return body.spurs; }
int number_of(const ledger::ClusterCount& body) { return body.floral_clusters; }
int number_of(const ledger::HarvestCount& body) { return body.fruits; }
int number_of(const ledger::ReturnBloom& body) { return body.floral_spurs; }
int number_of(const ledger::ExerciseCount& body) { return body.spurs; }

// Counts of an exercise stay unseen, or the second one of a tree would follow the first.
template <typename T>
constexpr bool is_blind(const T&) {
  return std::is_same_v<T, ledger::ExerciseCount>;
}

// Calls visit(block id, entry, language key) for every count of every kind.
template <typename Visit>
void each_count(const ledger::Season& season, Visit&& visit) {
  for (const auto& [id, block] : season.blocks()) {
    for (const auto& entry : block.tag_counts) visit(id, entry, "count.title.tag");
    for (const auto& entry : block.check_counts) visit(id, entry, "count.title.check");
    for (const auto& entry : block.before_counts) visit(id, entry, "count.title.before");
    for (const auto& entry : block.cluster_counts) visit(id, entry, "count.title.clusters");
    for (const auto& entry : block.harvest_counts) visit(id, entry, "count.title.harvest");
    for (const auto& entry : block.return_bloom) visit(id, entry, "count.title.return_bloom");
    for (const auto& entry : block.exercise_counts) visit(id, entry, "exercise.title");
  }
}

template <typename T>
CountLine line_of(const std::string& block, const ledger::Entry<T>& entry, const char* key) {
  CountLine line;
  line.id = entry.place.id;
  line.block = block;
  line.author = entry.author;
  line.tree = entry.body.tree;
  line.at_ms = entry.at_ms();
  line.number = number_of(entry.body);
  line.kind_key = key;
  line.corrected = entry.corrected;
  line.withdrawn = entry.withdrawn;
  return line;
}

}  // namespace

const TagEntry* last_tag(const ledger::BlockSeason& block, const std::string& person) {
  return last(block.tag_counts, [&](const auto& entry) { return entry.author == person; });
}

const TagEntry* tag_of(const ledger::BlockSeason& block, orchard::TreeAddress tree,
                       const std::string& person) {
  return last(block.tag_counts, [&](const auto& entry) {
    return entry.body.tree == tree && (person.empty() || entry.author == person);
  });
}

const CheckEntry* check_of(const ledger::BlockSeason& block, orchard::TreeAddress tree) {
  return last(block.check_counts, [&](const auto& entry) { return entry.body.tree == tree; });
}

const ledger::Entry<ledger::Advice>* last_advice(const ledger::BlockSeason& block,
                                                 const std::string& person) {
  return last(block.advice, [&](const auto& entry) { return entry.body.person == person; });
}

std::vector<CountLine> count_lines(const ledger::Season& season, const std::string& person,
                                   std::int64_t day) {
  std::vector<CountLine> lines;
  each_count(season, [&](const std::string& block, const auto& entry, const char* key) {
    if (entry.withdrawn || is_blind(entry.body)) return;
    if (!person.empty() && entry.author != person) return;
    if (day != 0 && season.day_of(entry.at_ms()) != day) return;
    lines.push_back(line_of(block, entry, key));
  });
  std::sort(lines.begin(), lines.end(), [](const CountLine& a, const CountLine& b) {
    return a.at_ms != b.at_ms ? a.at_ms > b.at_ms : b.id < a.id;
  });
  return lines;
}

CountLine count_line(const ledger::Season& season, const std::string& record) {
  CountLine found;
  const auto id = ledger::parse_record_id(record);
  if (!id) return found;
  each_count(season, [&](const std::string& block, const auto& entry, const char* key) {
    if (entry.place.id == *id) found = line_of(block, entry, key);
  });
  return found;
}

ledger::Body body_of(const ledger::Season& season, const std::string& record) {
  ledger::Body found;
  const auto id = ledger::parse_record_id(record);
  if (!id) return found;
  each_count(season, [&](const std::string&, const auto& entry, const char*) {
    if (entry.place.id == *id) found = entry.body;
  });
  return found;
}

}  // namespace nthtree::screens
