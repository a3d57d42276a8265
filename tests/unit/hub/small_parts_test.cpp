// SPDX-License-Identifier: Apache-2.0
//
// secret, rate_limit, gzip, keys, site: each in a few lines.
#include <doctest/doctest.h>

#include <fstream>
#include <set>

#include "hub/gzip.h"
#include "hub/keys.h"
#include "hub/limits.h"
#include "hub/rate_limit.h"
#include "hub/secret.h"
#include "hub/site.h"
#include "temporary_folder.h"

namespace nthtree::hub {
namespace {

TEST_SUITE("hub") {

TEST_CASE("a join code is ten letters of base 32 and reads back however it is typed") {
  std::set<std::string> seen;
  for (int i = 0; i < 200; ++i) {
    const std::string code = new_join_code();
    CHECK(code.size() == 11);
    CHECK(code[5] == '-');
    CHECK(code.find_first_of("ILOU") == std::string::npos);
    CHECK(tidy_join_code(code));
    seen.insert(code);
  }
  CHECK(seen.size() == 200);
  CHECK(tidy_join_code("7kq2m 0xwgt") == "7KQ2M0XWGT");
  CHECK(tidy_join_code("7KQ2MOXWGT") == "7KQ2M0XWGT");
  CHECK(tidy_join_code("iL111-11111") == "1111111111");
  for (const char* bad : {"", "7KQ2M-0XWG", "7KQ2M-0XWGTT", "7KQ2M-0XWGU", "7KQ2M_0XWGT"}) {
    CHECK_FALSE(tidy_join_code(bad));
  }
}

TEST_CASE("a key is 32 letters and never the same") {
  std::set<std::string> seen;
  for (int i = 0; i < 200; ++i) seen.insert(random_text());
  CHECK(seen.size() == 200);
  CHECK(seen.begin()->size() == 32);
}

TEST_CASE("a burst passes, a flood does not, and time heals") {
  RateLimit limit(3, 1);
  for (int i = 0; i < 3; ++i) CHECK(limit.take("a", 0));
  CHECK_FALSE(limit.take("a", 0));
  CHECK(limit.take("b", 0));
  CHECK(limit.take("a", 1));
  CHECK_FALSE(limit.take("a", 1.5));
  CHECK(limit.take("a", 100));
}

TEST_CASE("addresses are forgotten once they are calm") {
  RateLimit limit(2, 1);
  for (std::size_t i = 0; i < addresses_remembered_max; ++i) {
    REQUIRE(limit.take(std::to_string(i), 0));
  }
  CHECK_FALSE(limit.take("one too many", 0));
  CHECK(limit.take("later", 10));
  CHECK(limit.size() == 1);
}

TEST_CASE("gzip reads back, within its bound") {
  const std::string text(100000, 'x');
  const std::string packed = gzip(text);
  CHECK(packed.size() < 2000);
  CHECK(gunzip(packed, 100000) == text);
  CHECK_FALSE(gunzip(packed, 99999));
  CHECK_FALSE(gunzip(packed.substr(0, packed.size() - 1), 100000));
  CHECK_FALSE(gunzip("no gzip", 100));
  CHECK_FALSE(gunzip("", 100));
  CHECK(gunzip(gzip(""), 10) == "");
}

TEST_CASE("a withdrawn key is no key") {
  Keys keys;
  KeyOfPhone good{1, sync::sha256("good"), "tablet", 1, 0}, gone{2, sync::sha256("gone"), "x", 1, 5};
  keys.set(std::vector<KeyOfPhone>{good, gone});
  REQUIRE(keys.find("good"));
  CHECK(keys.find("good")->name == "tablet");
  CHECK_FALSE(keys.find("gone"));
  CHECK_FALSE(keys.find(""));
}

TEST_CASE("a site holds the folder's files, and brotli beside them") {
  const test::TemporaryFolder folder;
  std::filesystem::create_directory(folder / "sub");
  for (const char* name : {"index.html", "app.wasm", "app.wasm.br", "sub/x.js"}) {
    std::ofstream(folder / name) << name;
  }
  const auto site = load_site(folder.path());
  REQUIRE(site.ok());
  CHECK(site->find("/")->bytes == "index.html");
  CHECK(site->find("/index.html?x=1")->content_type == "text/html; charset=utf-8");
  CHECK(site->find("/app.wasm")->content_type == "application/wasm");
  CHECK(site->find("/app.wasm")->brotli == "app.wasm.br");
  CHECK(site->find("/sub/x.js"));
  for (const char* target : {"/app.wasm.br", "/sub", "/../index.html", "/sub/../index.html",
                             "//index.html", "/%2e%2e/etc/passwd", "", "index.html"}) {
    CAPTURE(target);
    CHECK_FALSE(site->find(target));
  }
  CHECK_FALSE(load_site(folder / "nothing").ok());
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
