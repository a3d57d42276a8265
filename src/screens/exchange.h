// SPDX-License-Identifier: Apache-2.0
//
// From phone to phone without a network, as plain state: what is to be handed over, the chain of
// codes on the screen, the camera, and what came in. Part of the session, told by news (news.h);
// the screens read it. Nothing handed over leaves this phone's own store.
//
//   session.exchange.showing.state == Showing::State::ready
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace nthtree::screens {

// What is handed over. Today's: with the settings of farm, blocks and people, so that a new phone
// can make sense of it.
enum class Batch { unsent, today, everything };
inline constexpr int batches = 3;

struct BatchSize {
  std::int64_t records = 0;
  std::int64_t bytes = 0;  // as a file
};

// Times that a code stands on the screen, slowest first.
inline constexpr std::array<int, 5> code_ms = {1000, 500, 250, 160, 100};
inline constexpr int usual_pace = 3;  // about six a second: what cameras of cheap phones follow

struct Showing {
  enum class State { none, making, ready, failed };
  State state = State::none;
  Batch batch = Batch::today;
  int codes = 0;
  int code = 1;        // on the screen, 1 … codes
  int round = 1;
  int pace = usual_pace;
  bool paused = false;
  int modules_a_side = 0;  // 0: the picture is not there yet
  std::vector<bool> modules;
  std::string trouble;     // "too_many" or "failed"
};

struct Camera {
  bool on = false;
  int have = 0, count = 0;   // codes of the chain that is being read
  int damaged = 0;           // codes seen that did not check
  std::vector<int> missing;  // the first of them
  std::string trouble;       // "refused", "none", "busy", "failed", "other_code", "damaged"
};

// What came in last, by file or by codes.
struct Taken {
  enum class State { none, taking, done, refused };
  State state = State::none;
  std::int64_t fresh = 0, known = 0, set_aside = 0, damaged = 0;  // records; damaged: lines
  std::string trouble;     // of refused: "demo", "too_large"; of taking: "disk"
  std::string other_farm;  // name, while it is asked whether to take another farm's records
};

struct Exchange {
  bool can_share = false;  // this browser has a share sheet for files
  std::array<BatchSize, batches> batch_sizes;
  Showing showing;
  Camera camera;
  Taken taken;

  const BatchSize& batch_size() const {
    return batch_sizes[static_cast<std::size_t>(showing.batch)];
  }
};

}  // namespace nthtree::screens
