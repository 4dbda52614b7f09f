package org.holebook.app

import org.junit.rules.ExternalResource

/** Each test has a notebook of its own, as each installation of the app has. One process runs them all, and the app keeps one for its process. */
class FreshBook : ExternalResource() {
    override fun before() = forget()

    override fun after() = forget()

    private fun forget() {
        Book::class.java.getDeclaredField("book").apply { isAccessible = true }.set(null, null)
    }
}
