// SPDX-License-Identifier: Apache-2.0
#include "app/hand_over.h"

#include <algorithm>
#include <utility>

#include "app/batch.h"
#include "ledger/record_table.h"

namespace nthtree::app {
namespace {

using screens::Batch;
using screens::ScreenId;
using screens::Showing;

constexpr std::size_t codes_bytes_max = 16u * 1024 * 1024;  // as web/exchange.js unpacks at most

}  // namespace

void HandOver::plan() {
  if (context_.session().demo || !context_.loaded) return;
  screens::BatchesMeasured measured;
  const auto records = [&measured](Batch batch) {
    return measured.batch_sizes[static_cast<std::size_t>(batch)].records;
  };
  for (Batch batch : {Batch::unsent, Batch::today, Batch::everything}) {
    const auto ids =
        ids_of(batch, context_.client, context_.season, context_.platform.wall_ms());
    measured.batch_sizes[static_cast<std::size_t>(batch)] = measure(ids, context_.client.store());
  }
  // The least that is likely to be wanted: an evening's records, not the whole season.
  const bool hub = context_.session().sync.link != screens::Link::never_paired;
  measured.likely = hub && records(Batch::unsent) > 0 ? Batch::unsent : Batch::today;
  context_.tell(measured);
  make_codes();
}

void HandOver::make_codes() {
  const auto ids =
      ids_of(showing().batch, context_.client, context_.season, context_.platform.wall_ms());
  const auto bytes = static_cast<std::size_t>(measure(ids, context_.client.store()).bytes);
  request_ = context_.next_request();  // an answer to an older request is none
  if (bytes == 0) return context_.tell(screens::CodesMade{});
  if (bytes > codes_bytes_max) return context_.tell(screens::CodesMade{0, "too_many"});
  context_.platform.make_codes(request_, lines_of(ids, context_.client.store()));
}

void HandOver::give(const screens::HandOver& wish) {
  if (context_.session().demo) return;
  const auto ids =
      ids_of(showing().batch, context_.client, context_.season, context_.platform.wall_ms());
  const sync::RecordStore& store = context_.client.store();
  if (store.amount(ids).records == 0) return context_.toast("toast.nothing_to_share");
  FileOut out(context_.platform);
  write_lines(ids, store, out);
  // Plain text by name and type: browsers let a share sheet take few kinds of files, and this is
  // one that all of them do.
  out.save("nthtree-" + context_.today() + ".txt", "text/plain", wish.sheet);
}

void HandOver::share(const screens::Share& wish) {
  using Form = screens::ShareForm;
  const sync::RecordStore& store = context_.client.store();
  if (store.size() == 0) return context_.toast("toast.nothing_to_share");
  FileOut out(context_.platform);
  const auto save = [&](const char* ending, const char* mime) {
    out.save("nthtree-" + context_.today() + ending, mime, false);
  };
  if (wish.form == Form::counts) {
    ledger::count_table(context_.season, [&out](std::string_view part) { out.add(part); });
    return save("-counts.csv", "text/csv");
  }
  if (wish.form == Form::json) {
    write_lines(store.coverage(), store, out);
    return save(".jsonl", "application/json");
  }
  write_record_table(store, context_.season.time_zone(), out);
  save("-records.csv", "text/csv");
}

// Whoever goes back from what came in to handing over finds it there, too.
void HandOver::imported(std::int64_t fresh) {
  const auto& stack = context_.session().stack;
  const bool below = std::any_of(stack.begin(), stack.end(), [](const screens::Stop& stop) {
    return stop.screen == ScreenId::hand_over;
  });
  if (fresh > 0 && below) plan();
}

// ---- codes

void HandOver::on_codes(RequestId id, int codes, std::string_view detail) {
  if (id != request_) return;
  const char* trouble = detail.find("too many") != detail.npos ? "too_many" : "failed";
  context_.tell(screens::CodesMade{codes, trouble});
  order_codes_from(1);
}

// The first round runs up from a code, so that people can follow it. Every later one has an order
// of its own: a camera that misses each fourth code would miss the same ones for ever.
void HandOver::order_codes_from(int code) {
  const int codes = showing().codes;
  order_.clear();
  for (int i = 0; i < codes; ++i) order_.push_back((code - 1 + i) % codes + 1);
  at_ = 0;
}

void HandOver::shuffle_codes() {
  for (std::size_t i = order_.size(); i > 1; --i) {
    std::uint64_t chance = 0;
    context_.platform.random_bytes(&chance, sizeof chance);
    std::swap(order_[i - 1], order_[chance % i]);
  }
  at_ = 0;
}

std::int64_t HandOver::code_ms() const {
  return screens::code_ms[static_cast<std::size_t>(showing().pace)];
}

void HandOver::follow() {
  if (context_.session().here().screen != ScreenId::show_codes) {
    due_ms_ = -1;
    return;
  }
  if (showing().state != Showing::State::ready || due_ms_ >= 0) return;
  due_ms_ = context_.platform.elapsed_ms() + code_ms();
  context_.platform.draw_code(showing().code);
}

void HandOver::show_code(int code) {
  order_codes_from(code);
  context_.platform.draw_code(code);
}

void HandOver::on_wake() {
  if (due_ms_ < 0 || showing().paused || showing().codes < 2) return;
  if (context_.session().here().screen != ScreenId::show_codes) return;
  if (const std::int64_t left = due_ms_ - context_.platform.elapsed_ms(); left > 0) {
    return context_.platform.schedule_wake(left);
  }
  if (++at_ >= order_.size()) {
    context_.tell(screens::RoundBegun{});
    shuffle_codes();
  }
  context_.platform.draw_code(order_[at_]);
}

void HandOver::on_code(int code, int modules_a_side, std::string_view modules) {
  const auto side = static_cast<std::size_t>(std::max(0, modules_a_side));
  if (showing().state != Showing::State::ready) return;
  if (side == 0 || modules.size() != side * side) {
    return context_.tell(screens::CodesMade{0, "failed"});
  }
  screens::CodeDrawn drawn{code, modules_a_side, {}};
  for (const char module : modules) drawn.modules.push_back(module == '1');
  context_.tell(drawn);
  due_ms_ = context_.platform.elapsed_ms() + code_ms();
  on_wake();
}

}  // namespace nthtree::app
