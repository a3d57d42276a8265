// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/entries.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <type_traits>

#include "ledger/current.h"

namespace nthtree::screens {
namespace {

template <typename T, typename Wanted>
const ledger::Entry<T>* last(const ledger::Entries<T>& entries, Wanted&& wanted) {
  for (const auto& entry : ledger::current_newest_first(entries)) {
    if (wanted(entry)) return &entry;
  }
  return nullptr;
}

// The kinds that are counts, by what they are called and the number that was counted.
struct Counted {
  const char* title_key;
  int* number;
};
Counted counted(ledger::TagCount& body) { return {"count.title.tag", &body.spurs}; }
Counted counted(ledger::CheckCount& body) { return {"count.title.check", &body.spurs}; }
Counted counted(ledger::BeforeCount& body) { return {"count.title.before", &body.spurs}; }
Counted counted(ledger::ClusterCount& body) {
  return {"count.title.clusters", &body.floral_clusters};
}
Counted counted(ledger::HarvestCount& body) { return {"count.title.harvest", &body.fruits}; }
Counted counted(ledger::ReturnBloom& body) {
  return {"count.title.return_bloom", &body.floral_spurs};
}
Counted counted(ledger::ExerciseCount& body) { return {"exercise.title", &body.spurs}; }

template <typename T>
concept is_count = requires(T body) { counted(body); };

template <typename T>
constexpr bool is_act =
    std::is_same_v<T, ledger::BudSample> || std::is_same_v<T, ledger::Advice> ||
    std::is_same_v<T, ledger::BlockProgress> || std::is_same_v<T, ledger::GrowthStage> ||
    std::is_same_v<T, ledger::WorkSpell> || std::is_same_v<T, ledger::RowDone> ||
    std::is_same_v<T, ledger::TreeState>;

// Some limbs of a tree: their number is the tree's, worked out, and is corrected limb by limb.
template <typename T>
concept is_part = requires(const T& body) { body.counted.on_tree(); };

// Counts of an exercise stay unseen, or the second one of a tree would follow the first.
template <typename T>
constexpr bool is_blind(const T&) {
  return std::is_same_v<T, ledger::ExerciseCount>;
}

// Calls visit(entry) for every count of every kind in a block.
template <typename Visit>
void each_count(const ledger::BlockSeason& block, Visit&& visit) {
  ledger::each_list(block, [&]<typename T>(const ledger::Entries<T>& entries) {
    if constexpr (is_count<T> || is_part<T>) {
      for (const auto& entry : entries) visit(entry);
    }
  });
}

template <typename T>
CountLine line_of(const std::string& block, const ledger::Entry<T>& entry) {
  CountLine line;
  if constexpr (is_part<T>) {
    line.number = static_cast<int>(std::lround(entry.body.counted.on_tree()));
    line.kind_key = std::is_same_v<T, ledger::PartClusters> ? "part.clusters" : "part.title";
  } else {
    T body = entry.body;
    const Counted what = counted(body);
    line.number = *what.number;
    line.kind_key = what.title_key;
  }
  line.id = entry.position.id;
  line.block = block;
  line.author = entry.author;
  line.tree = entry.body.tree;
  line.at_ms = entry.at_ms();
  line.corrected = entry.corrected;
  line.withdrawn = entry.withdrawn;
  return line;
}

// Calls found(block id, entry) for the count of that record id, if there is one.
template <typename Found>
void with_count(const ledger::Season& season, const std::string& record, Found&& found) {
  const auto wanted = ledger::parse_record_id(record);
  if (!wanted) return;
  for (const auto& held : season.blocks()) {  // clang 14 keeps names of a pair out of a lambda
    each_count(held.second, [&](const auto& entry) {
      if (entry.position.id == *wanted) found(held.first, entry);
    });
  }
}

}  // namespace

const TagEntry* last_tag(const ledger::BlockSeason& block, const std::string& person) {
  return last(block.tag_counts, [&](const auto& entry) { return entry.author == person; });
}

orchard::TreeAddress last_tree(const ledger::BlockSeason& block, const std::string& person) {
  const auto by_person = [&](const auto& entry) { return entry.author == person; };
  const TagEntry* tag = last(block.tag_counts, by_person);
  const PartEntry* part = last(block.part_counts, by_person);
  if (!tag && !part) return {0, 0};
  return !part || (tag && part->position < tag->position) ? tag->body.tree : part->body.tree;
}

const TagEntry* tag_of(const ledger::BlockSeason& block, orchard::TreeAddress tree,
                       const std::string& person) {
  return last(block.tag_counts, [&](const auto& entry) {
    return entry.body.tree == tree && (person.empty() || entry.author == person);
  });
}

const PartEntry* part_of(const ledger::BlockSeason& block, orchard::TreeAddress tree,
                         const std::string& person) {
  return last(block.part_counts, [&](const auto& entry) {
    return entry.body.tree == tree && (person.empty() || entry.author == person);
  });
}

bool is_scored(const ledger::BlockSeason& block, orchard::TreeAddress tree,
               const std::string& person) {
  return last(block.eye_scores, [&](const auto& entry) {
    return entry.body.tree == tree && entry.author == person;
  }) != nullptr;
}

const CheckEntry* check_of(const ledger::BlockSeason& block, orchard::TreeAddress tree) {
  return last(block.check_counts, [&](const auto& entry) { return entry.body.tree == tree; });
}

const ledger::Entry<ledger::Advice>* last_advice(const ledger::BlockSeason& block,
                                                 const std::string& person) {
  return last(block.advice, [&](const auto& entry) { return entry.body.person == person; });
}

orchard::TreeAddress next_of_last_season(const ledger::Season& season,
                                         const ledger::BlockSeason& block) {
  const auto& spans = season.spans();
  if (spans.size() < 2) return next_tagged(block, block.return_bloom);
  std::set<orchard::TreeAddress> seen;
  for (const auto& entry : ledger::current(block.return_bloom)) seen.insert(entry.body.tree);
  const auto not_seen = [&](const auto& entries) -> std::optional<orchard::TreeAddress> {
    for (const auto& entry : entries) {
      const bool is_of_it = ledger::stands(entry) && spans[spans.size() - 2].holds(entry.at_ms());
      if (is_of_it && !seen.count(entry.body.tree)) return entry.body.tree;
    }
    return std::nullopt;
  };
  if (const auto tree = not_seen(block.tag_counts)) return *tree;
  if (const auto tree = not_seen(block.part_counts)) return *tree;
  return {1, 1};
}

std::vector<CountLine> count_lines(const ledger::Season& season, const std::string& person,
                                   std::int64_t day, Seasons of) {
  std::vector<CountLine> lines;
  for (const auto& held : season.blocks()) {
    each_count(held.second, [&](const auto& entry) {
      if (!ledger::stands(entry) || is_blind(entry.body)) return;
      if (day == 0 && entry.closed != (of == Seasons::closed)) return;
      if (!person.empty() && entry.author != person) return;
      if (day != 0 && season.day_of(entry.at_ms()) != day) return;
      lines.push_back(line_of(held.first, entry));
    });
  }
  std::sort(lines.begin(), lines.end(), [](const CountLine& a, const CountLine& b) {
    return a.at_ms != b.at_ms ? a.at_ms > b.at_ms : b.id < a.id;
  });
  return lines;
}

std::vector<ActLine> act_lines(const ledger::Season& season, const std::string& person,
                               std::int64_t day) {
  std::vector<ActLine> lines;
  for (const auto& held : season.blocks()) {
    ledger::each_list(held.second, [&]<typename T>(const ledger::Entries<T>& entries) {
      if constexpr (is_act<T>) {
        for (const auto& entry : entries) {
          if (!ledger::stands(entry) || entry.author != person) continue;
          if (season.day_of(entry.at_ms()) != day) continue;
          lines.push_back({entry.position.id, held.first, entry.at_ms(), entry.body});
        }
      }
    });
  }
  std::sort(lines.begin(), lines.end(), [](const ActLine& a, const ActLine& b) {
    return a.at_ms != b.at_ms ? a.at_ms > b.at_ms : b.id < a.id;
  });
  return lines;
}

const RowEntry* row_entry(const ledger::Season& season, const std::string& record) {
  const auto wanted = ledger::parse_record_id(record);
  if (!wanted) return nullptr;
  for (const auto& held : season.blocks()) {
    const RowEntry* found = last(held.second.rows_done,
                                 [&](const auto& entry) { return entry.position.id == *wanted; });
    if (found) return found;
  }
  return nullptr;
}

int number_of(ledger::Body count) {
  int number = 0;
  std::visit(
      [&](auto& body) {
        if constexpr (is_count<std::decay_t<decltype(body)>>) number = *counted(body).number;
      },
      count);
  return number;
}

std::vector<int> earlier_numbers(const ledger::BlockSeason& block, const ledger::Body& like,
                                 const std::string& person) {
  std::vector<int> numbers;
  each_count(block, [&]<typename T>(const ledger::Entry<T>& entry) {
    const bool is_like = std::holds_alternative<T>(like) && !is_blind(entry.body);
    if (is_like && ledger::is_current(entry) && entry.author == person) {
      numbers.push_back(number_of(entry.body));
    }
  });
  return numbers;
}

CountLine count_line(const ledger::Season& season, const std::string& record) {
  CountLine line;
  with_count(season, record,
             [&](const std::string& block, const auto& entry) { line = line_of(block, entry); });
  return line;
}

ledger::Body body_of(const ledger::Season& season, const std::string& record) {
  ledger::Body body;
  with_count(season, record, [&](const std::string&, const auto& entry) { body = entry.body; });
  return body;
}

ledger::Body corrected(ledger::Body body, int number) {
  std::visit(
      [&](auto& count) {
        if constexpr (is_count<std::decay_t<decltype(count)>>) *counted(count).number = number;
        if constexpr (requires { count.limbs; }) count.limbs.clear();
      },
      body);
  return body;
}

ledger::Body on_tree(ledger::Body body, orchard::TreeAddress tree) {
  std::visit(
      [&](auto& count) {
        if constexpr (is_count<std::decay_t<decltype(count)>>) count.tree = tree;
      },
      body);
  return body;
}

}  // namespace nthtree::screens
