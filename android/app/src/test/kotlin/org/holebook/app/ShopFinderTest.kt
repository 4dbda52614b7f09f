package org.holebook.app

import android.net.wifi.WifiManager
import java.util.concurrent.Executors
import org.holebook.core.SeenShop
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.annotation.Config

/** What Android's service discovery finds, and that nothing keeps running afterwards. */
@RunWith(RobolectricTestRunner::class)
@Config(sdk = [35], shadows = [FakeDiscovery::class])
class ShopFinderTest {
    private val context get() = RuntimeEnvironment.getApplication()

    @After
    fun `nothing keeps running`() {
        assertTrue(FakeDiscovery.searching.isEmpty() && FakeDiscovery.resolving.isEmpty())
        val wifi = context.getSystemService(WifiManager::class.java)!!
        assertEquals(0, shadowOf(wifi).activeLockCount)
        FakeDiscovery.reset()
    }

    @Test
    fun `returns the numeric addresses of each shop computer that answers`() {
        FakeDiscovery.services = listOf(
            FakeDiscovery.Service(
                "AbCd", 29_376, "192.168.1.20", "fd00::12", "127.0.0.1", "0.0.0.0",
            ),
            FakeDiscovery.Service("silent", 29_376),
            FakeDiscovery.Service("EfGh", 29_377, "192.168.1.21"),
        )
        val found = ShopFinder(context, limitSeconds = 4).find()
        assertEquals("_holebook._tcp", FakeDiscovery.lastType)
        val expected = listOf(
            SeenShop("AbCd", listOf("192.168.1.20:29376", "[fd00:0:0:0:0:0:0:12]:29376")),
            SeenShop("EfGh", listOf("192.168.1.21:29377")),
        )
        assertEquals(expected, found)
    }

    @Test
    fun `ends by itself without an answer`() {
        assertTrue(ShopFinder(context, limitSeconds = 1).find().isEmpty())
    }

    @Test
    fun `a flood of answers is cut off`() {
        FakeDiscovery.services =
            List(500) { FakeDiscovery.Service("shop $it", 1000 + it, "10.0.0.1") }
        assertEquals(16, ShopFinder(context, limitSeconds = 60).find().size)
    }

    @Test
    fun `ends when it is stopped`() {
        val finder = ShopFinder(context, limitSeconds = 600)
        val thread = Executors.newSingleThreadExecutor()
        val found = thread.submit<List<SeenShop>> { finder.find() }
        while (FakeDiscovery.searching.isEmpty()) Thread.sleep(5)
        finder.stop()
        assertTrue(found.get().isEmpty())
        thread.shutdown()
    }
}
