package org.holebook.app

import org.junit.rules.ExternalResource

/** Gives each test a new notebook. All tests share a process, and the app keeps one per process. */
class FreshAppContainer : ExternalResource() {
    override fun before() = reset()

    override fun after() = reset()

    private fun reset() {
        val field = AppContainer::class.java.getDeclaredField("instance")
        field.apply { isAccessible = true }.set(null, null)
    }
}
