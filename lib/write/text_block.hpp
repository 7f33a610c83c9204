// Text put together piece by piece, by the million: a buffer to be written into.
// Used by the writers of findings and of the page, and handed on whole to files. Promises that room
// is asked for once where several pieces are put, and that a piece costs no call but its copy.
#pragma once

#include <vitalproof/detail/append.hpp>

#include <algorithm>
#include <cstddef>
#include <memory>
#include <string_view>
#include <utility>

namespace vitalproof::write {

class text_block {
public:
    text_block() = default;
    text_block(const text_block&) = delete;
    text_block& operator=(const text_block&) = delete;
    text_block(text_block&& other) noexcept { swap(*this, other); }
    text_block& operator=(text_block&& other) noexcept {
        swap(*this, other);
        return *this;
    }

    friend void swap(text_block& a, text_block& b) noexcept {
        std::swap(a.bytes_, b.bytes_);
        std::swap(a.size_, b.size_);
        std::swap(a.capacity_, b.capacity_);
    }

    /// Room for so many bytes behind the text. What is put there belongs to it from end_at() on.
    char* room(std::size_t bytes) {
        if (capacity_ - size_ < bytes) [[unlikely]] {
            grow(bytes);
        }
        return bytes_.get() + size_;
    }
    void end_at(const char* end) { size_ = static_cast<std::size_t>(end - bytes_.get()); }

    text_block& append(std::string_view text) {
        end_at(vitalproof::detail::put(room(text.size()), text));
        return *this;
    }
    void push_back(char c) {
        *room(1) = c;
        ++size_;
    }
    void shrink_to(std::size_t size) { size_ = size; }
    void clear() { size_ = 0; }

    std::string_view text() const { return {bytes_.get(), size_}; }
    std::size_t size() const { return size_; }
    bool empty() const { return size_ == 0; }
    char back() const { return bytes_[size_ - 1]; }

private:
    [[gnu::noinline]] void grow(std::size_t bytes) {
        constexpr std::size_t least = 256;
        const std::size_t capacity = std::max({least, 2 * capacity_, size_ + bytes});
        auto larger = std::make_unique_for_overwrite<char[]>(capacity);
        std::copy_n(bytes_.get(), size_, larger.get());
        bytes_ = std::move(larger);
        capacity_ = capacity;
    }

    std::unique_ptr<char[]> bytes_{};
    std::size_t size_ = 0;
    std::size_t capacity_ = 0;
};

}  // namespace vitalproof::write
