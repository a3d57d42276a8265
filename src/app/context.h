// SPDX-License-Identifier: Apache-2.0
//
// What the rooms of the app share: the platform's door, the farm's season, the sync client, and the
// session. Rooms see the session as const; it is moved by what somebody wanted (take) and by what
// happened (tell), and nothing else. Where news change the picture a frame is asked for.
//
//   context.tell(screens::Saved{});
#pragma once

#include <optional>
#include <string>

#include "app/platform.h"
#include "ledger/season.h"
#include "screens/news.h"
#include "screens/parts/advice_cache.h"
#include "sync/client.h"

namespace nthtree::app {

class Context {
 public:
  explicit Context(Platform& door) : platform(door) {}
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;

  Platform& platform;
  ledger::Season season;  // the farm's own, all of it on the disk
  sync::Client client;
  screens::AdviceCache cache;
  bool loaded = false;    // nothing is written before

  const screens::Session& session() const { return session_; }
  // What is on the screen: the farm's own season, or the demo's while it is shown. The demo's week
  // lies in the past: its clock is that much ahead of the wall's.
  const ledger::Season& shown() const { return demo_ ? *demo_ : season; }
  std::int64_t now_ms() const { return platform.wall_ms() + demo_ahead_ms_; }
  void show(const ledger::Season* demo, std::int64_t ahead_ms = 0) {  // null: the own
    demo_ = demo;
    demo_ahead_ms_ = ahead_ms;
    cache.forget();
  }

  void take(const screens::Intent& intent) { screens::apply(session_, shown(), intent); }
  void tell(const screens::News& news) {
    screens::apply(session_, shown(), screens::Clock{now_ms()});
    if (screens::apply(session_, shown(), news)) platform.request_frame();
  }
  void toast(const char* key, std::string value = {}, bool warning = false) {
    tell(screens::Told{key, std::move(value), warning});
  }

  // What the farm's season knows of an author's role; empty before the farm has a manager.
  std::optional<orchard::Role> role_of(const std::string& person) const;

  RequestId next_request() { return ++last_request_; }
  sync::Moment moment();
  ledger::DeviceKey random_key();
  std::string today() const;  // the farm's day, for names of files: "2026-02-02"

 private:
  screens::Session session_;
  const ledger::Season* demo_ = nullptr;
  std::int64_t demo_ahead_ms_ = 0;
  RequestId last_request_ = 0;
};

}  // namespace nthtree::app
