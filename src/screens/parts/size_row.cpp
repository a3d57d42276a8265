// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/size_row.h"

#include <array>

#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr std::array<const char*, 3> class_ids = {"size_weak", "size_middling", "size_strong"};
constexpr std::array<const char*, 3> class_keys = {"part.size.weak", "part.size.middling",
                                                   "part.size.strong"};

// What each class is left; empty texts where size does not pay, or no target stands.
std::array<std::string, 3> numbers_of(Frame& frame, const std::string& block) {
  std::array<std::string, 3> numbers;
  const advice::SizeOffer& offer = frame.cache.sizes(frame.season, block, frame.now_ms());
  const advice::BlockTarget* target = frame.cache.target(frame.season, block);
  if (offer.ask != advice::SizeAsk::yes || !target) return numbers;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    numbers[i] = whole(offer.factor[i] * target->target.spurs_to_leave_per_tree.value);
  }
  return numbers;
}

}  // namespace

void size_row(Frame& frame, const CountDraft& draft) {
  const advice::SizeOffer& offer =
      frame.cache.sizes(frame.season, draft.block, frame.now_ms());
  if (offer.ask == advice::SizeAsk::no) return;
  const auto numbers = numbers_of(frame, draft.block);
  std::vector<widgets::Choice> items;
  for (std::size_t i = 0; i < class_ids.size(); ++i) {
    const std::string name = tr(class_keys[i]);
    items.push_back({class_ids[i], numbers[i].empty() ? name : name + " " + numbers[i]});
  }
  const int chosen = size_choice(frame.ui, {.id = "size", .label = tr("part.size"),
                                            .items = items, .selected = draft.size});
  if (chosen != draft.size) frame.want(ChooseSize{chosen});
}

void add_size(const CountDraft& draft, std::vector<ledger::Body>& bodies) {
  if (draft.size < 0) return;
  bodies.push_back(ledger::TreeSize{draft.block, draft.tree,
                                    static_cast<ledger::SizeClass>(draft.size), {}});
}

std::string leave_by_size(Frame& frame) {
  const auto numbers = numbers_of(frame, frame.block_id());
  if (numbers[0].empty()) return "";
  return tr("home.leave_by_size",
            {{"weak", numbers[0]}, {"middling", numbers[1]}, {"strong", numbers[2]}});
}

}  // namespace nthtree::screens
